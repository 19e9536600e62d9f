import { polygonMoments } from '../geometry/polygonMoments.ts';
import { growRegion, regionRing, visitRegion } from '../geometry/rasterRegion.ts';
import { midlineAt } from '../trace/midline.ts';
import type { Model } from '../trace/types.ts';
import type { EdgeAngles } from './edgeAngles.ts';
import { type FaceEnvelope, offsetAt } from './edgeOffset.ts';
import type { FaceFrame } from './humpsFace.ts';
import type { Lump } from './humpsFind.ts';
import type { Hump, Points2, ThicknessMap } from './types.ts';

/** The edge angle of a hump's station is looked for this far up and down the margin, mm of y. */
const ANGLE_REACH = 5;
/** The low flanks of a hump lie within this share of its footprint's radius beyond the footprint. */
const APRON = 0.35;

/** What the description of a hump draws on besides the lump itself. */
export interface Surroundings {
  readonly model: Model;
  readonly frame: FaceFrame;
  /** The piece's own map, as fine as it comes. */
  readonly map: ThicknessMap;
  readonly envelope: FaceEnvelope;
  readonly angles: EdgeAngles;
  readonly medianThickness: number;
}

/** `excess` is the whole field of the lump's face; `others` marks the footprints of all lumps on that face. */
export function describeLump(
  lump: Lump,
  face: 'A' | 'B',
  excess: Float32Array,
  others: Uint8Array,
  around: Surroundings,
): Hump {
  const { model, frame, map, medianThickness } = around;
  const { edges } = frame;
  const row = nearestRow(frame.map, lump.y);
  const k = nearestRow(map, lump.y) * map.columns + nearestColumn(map, lump.x);
  const thickness = map.faceA[k] - map.faceB[k];
  const middle = midlineAt(model.midline, model.length, lump.y);
  const left = edges.leftX[row];
  const right = edges.rightX[row];
  const footprint = ringInPlan(lump, frame);
  return {
    face,
    peak: [lump.x, lump.y, face === 'A' ? map.faceA[k] : map.faceB[k]],
    station: (100 * lump.y) / model.length,
    offset: lump.x - middle,
    offsetShare: (200 * (lump.x - middle)) / (right - left),
    prominence: lump.prominence,
    height: lump.height,
    thickness,
    thicknessRatio: thickness / medianThickness,
    footprint,
    area: polygonMoments([footprint]).area,
    volume: excessVolume(lump, excess, others, frame),
    run: runs(lump, row, left, right, frame),
    edgeAngle: {
      left: angleNear(around.angles, 'left', lump.y, middle),
      right: angleNear(around.angles, 'right', lump.y, middle),
    },
    edgeOffset: {
      left: offsetAt(map, around.envelope, lump.y, edges.leftZ[row]),
      right: offsetAt(map, around.envelope, lump.y, edges.rightZ[row]),
    },
  };
}

/** Angle of the nearest place with one on that side, as counted along y; NaN where none is near. */
function angleNear(angles: EdgeAngles, side: 'left' | 'right', y: number, middle: number): number {
  let best = NaN;
  let least = ANGLE_REACH;
  for (let i = 0; i < angles.count; i++) {
    if (Number.isNaN(angles.angle[i]) || angles.x[i] < middle !== (side === 'left')) continue;
    const away = Math.abs(angles.y[i] - y);
    if (away > least) continue;
    least = away;
    best = angles.angle[i];
  }
  return best;
}

/** From either margin to the farthest footprint cell of the peak's row. */
function runs(lump: Lump, row: number, left: number, right: number, { map }: FaceFrame): Hump['run'] {
  let near = Infinity;
  let far = -Infinity;
  visitRegion(lump.footprint, (column, r) => {
    if (r !== row) return;
    const x = map.x0 + column * map.cell;
    near = Math.min(near, x - map.cell / 2);
    far = Math.max(far, x + map.cell / 2);
  });
  // A concave footprint may miss its peak's own row: the peak itself is then the foot.
  const fromLeft = (far > near ? far : lump.x) - left;
  const fromRight = right - (far > near ? near : lump.x);
  const width = right - left;
  return {
    left: fromLeft,
    right: fromRight,
    leftShare: (100 * fromLeft) / width,
    rightShare: (100 * fromRight) / width,
  };
}

/** Excess over the footprint and the apron of its flanks, mm³. Hollows on them count as what they are, less. */
function excessVolume(
  { footprint }: Lump,
  excess: Float32Array,
  others: Uint8Array,
  { map }: FaceFrame,
): number {
  const grown = growRegion(footprint, APRON * Math.sqrt(footprint.count / Math.PI));
  const own = (column: number, row: number): boolean => {
    const k = (row - footprint.row0) * footprint.columns + column - footprint.column0;
    const inWindow =
      column >= footprint.column0 &&
      row >= footprint.row0 &&
      column < footprint.column0 + footprint.columns &&
      row < footprint.row0 + footprint.rows;
    return inWindow && footprint.mask[k] === 1;
  };
  let sum = 0;
  visitRegion(grown, (column, row) => {
    if (column < 0 || row < 0 || column >= map.columns || row >= map.rows) return;
    const k = row * map.columns + column;
    if (Number.isNaN(excess[k])) return;
    if (others[k] === 0 || own(column, row)) sum += excess[k];
  });
  return sum * map.cell * map.cell;
}

function ringInPlan({ footprint }: Lump, { map }: FaceFrame): Points2 {
  return regionRing(footprint).map((v, i) => (i % 2 === 0 ? map.x0 : map.y0) + v * map.cell);
}

function nearestRow(map: ThicknessMap, y: number): number {
  return Math.min(map.rows - 1, Math.max(0, Math.round((y - map.y0) / map.cell)));
}

function nearestColumn(map: ThicknessMap, x: number): number {
  return Math.min(map.columns - 1, Math.max(0, Math.round((x - map.x0) / map.cell)));
}
