import type { MarginPoint, Pair, SpecimenRecord } from '../record/schema.ts';
import { barLength, type DrawingScale, drawingScale } from './drawingScale.ts';
import { type Box, COLOUR, LINE, TYPE } from './sheetStyle.ts';
import { el, group, label, linePath, type Markup, type Place, ringPath, segment } from './svg.ts';

const GAP = 11;
const TICK = 1.4;
/** Room under the drawings for captions, scale bar and key; above them for the end of the axis. */
const FOOT = 14;
const HEAD = 3;

/** Extents of what is drawn side by side, mm of the piece. */
interface Extents {
  readonly minX: number;
  readonly maxX: number;
  readonly minZ: number;
  readonly maxZ: number;
  readonly length: number;
}

/**
 * Face A in plan with its midline and its mirror image, between the views from the left and from the right:
 * third-angle projection, each view on the side from which it is seen, so that Face A lies toward the plan.
 * `bottom` is where the drawing ends on the page.
 */
export function drawPlan(
  record: SpecimenRecord,
  box: Box,
): {
  markup: Markup;
  scale: DrawingScale;
  bottom: number;
} {
  const extents = measureExtents(record);
  const { minX, maxX, minZ, maxZ, length } = extents;
  const depth = maxZ - minZ;
  const chosen = drawingScale(
    length,
    (s) => s * length <= box.height - FOOT - HEAD && s * (maxX - minX + 2 * depth) + 2 * GAP <= box.width,
  );
  const scale = chosen.factor;
  const planWidth = scale * (maxX - minX);
  const whole = planWidth + 2 * scale * depth + 2 * GAP;
  const start = box.x + (box.width - whole) / 2;
  const bottom = box.y + HEAD + scale * length;
  const planStart = start + scale * depth + GAP;
  const onPlan: Place = ([x, y]) => [planStart + scale * (x - minX), bottom - scale * y];
  const fromLeft: Place = ([z, y]) => [start + scale * (z - minZ), bottom - scale * y];
  const fromRight: Place = ([z, y]) => [planStart + planWidth + GAP + scale * (maxZ - z), bottom - scale * y];
  const markup = group(
    {},
    drawFace(record, onPlan, extents),
    drawSide(record, fromLeft, 'left'),
    drawSide(record, fromRight, 'right'),
    caption('Face A', planStart + planWidth / 2, bottom),
    record.profile.y.length === 0
      ? group({})
      : group(
          {},
          caption('from the left', start + (scale * depth) / 2, bottom),
          caption('from the right', start + whole - (scale * depth) / 2, bottom),
        ),
    drawScaleBar(scale, box, bottom + FOOT - 1.4),
    drawKey(box, bottom + FOOT - 1.4),
  );
  return { markup, scale: chosen, bottom: bottom + FOOT };
}

function measureExtents({ outline, profile, frame }: SpecimenRecord): Extents {
  const xs = outline.outer.map(([x]) => x);
  // The mirror image is drawn too, and has to find room.
  const reach = xs.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
  return {
    minX: -reach,
    maxX: reach,
    minZ: profile.faceB.reduce((least, z) => Math.min(least, z), 0),
    maxZ: profile.faceA.reduce((most, z) => Math.max(most, z), 0),
    length: frame.length,
  };
}

function drawFace(record: SpecimenRecord, place: Place, { minX, maxX, length }: Extents): Markup {
  const mirrored: Place = ([x, y]) => place([-x, y]);
  const rings = [record.outline.outer, ...record.outline.inner];
  const own = rings.map((ring) => ringPath(ring, place)).join('');
  const other = rings.map((ring) => ringPath(ring, mirrored)).join('');
  const [axisX, axisTop] = place([0, length]);
  const [, axisBottom] = place([0, 0]);
  return group(
    { fill: 'none', 'stroke-linejoin': 'round' },
    el('path', { d: own, fill: COLOUR.stone, 'fill-rule': 'evenodd' }),
    // Where the outline and its mirror image differ, and nowhere else, the even-odd rule fills.
    el('path', { d: own + other, fill: COLOUR.clay, 'fill-opacity': 0.28, 'fill-rule': 'evenodd' }),
    segment(axisX, axisTop - 3, axisX, axisBottom + 3, {
      stroke: COLOUR.soft,
      'stroke-width': LINE.hair,
      'stroke-dasharray': '4 1 0.6 1',
    }),
    el('path', { d: other, stroke: COLOUR.clay, 'stroke-width': LINE.thin, 'stroke-dasharray': '1.4 0.9' }),
    // At the very ends a midpoint has no chord to halve.
    el('path', {
      d: linePath(record.midline.slice(1, -1), place),
      stroke: COLOUR.slate,
      'stroke-width': 0.3,
    }),
    el('path', { d: own, stroke: COLOUR.ink, 'stroke-width': LINE.outline }),
    drawStations(record, place, minX, maxX),
  );
}

/** Ticks on both sides of the plan where the sections lie, named where there is room. */
function drawStations({ sections }: SpecimenRecord, place: Place, minX: number, maxX: number): Markup {
  const stroke = { stroke: COLOUR.soft, 'stroke-width': LINE.hair };
  let named = Infinity;
  return group(
    { 'font-size': TYPE.small, fill: COLOUR.soft },
    ...sections
      .filter(({ at }) => at === 'station')
      .flatMap(({ station, y }) => {
        const [left, height] = place([minX, y]);
        const [right] = place([maxX, y]);
        const ticks = [
          segment(left - 1 - TICK, height, left - 1, height, stroke),
          segment(right + 1, height, right + 1 + TICK, height, stroke),
        ];
        if (Math.abs(named - height) < TYPE.small * 1.2) return ticks;
        named = height;
        return [...ticks, label(`${Math.round(station)} %`, right + 3, height + 0.8)];
      }),
  );
}

/** Silhouette seen from one side, with the margin of that side and the margin plane. */
function drawSide({ profile, margin, frame }: SpecimenRecord, place: Place, side: 'left' | 'right'): Markup {
  if (profile.y.length === 0) return group({});
  const ring: Pair[] = [
    ...profile.y.map((y, i): Pair => [profile.faceA[i], y]),
    ...profile.y.map((y, i): Pair => [profile.faceB[i], y]).toReversed(),
  ];
  const [zeroX, top] = place([0, frame.length]);
  const [, bottom] = place([0, 0]);
  return group(
    { fill: 'none', 'stroke-linejoin': 'round' },
    el('path', {
      d: ringPath(ring, place),
      fill: COLOUR.stone,
      stroke: COLOUR.ink,
      'stroke-width': LINE.outline,
    }),
    segment(zeroX, top - 3, zeroX, bottom + 3, {
      stroke: COLOUR.soft,
      'stroke-width': LINE.hair,
      'stroke-dasharray': '4 1 0.6 1',
    }),
    el('path', { d: linePath(sideLine(margin, side), place), stroke: COLOUR.slate, 'stroke-width': 0.3 }),
  );
}

/** The margin seen from one side, tip to base, as z, y. Points of tip and base belong to the half they lie on. */
function sideLine(margin: readonly MarginPoint[], side: 'left' | 'right'): Pair[] {
  const foot = margin.reduce((lowest, point, i) => (point.y < margin[lowest].y ? i : lowest), 0);
  const half = side === 'right' ? margin.slice(0, foot + 1) : [...margin.slice(foot), ...margin.slice(0, 1)];
  return half.map(({ y, z }): Pair => [z, y]);
}

function caption(text: string, x: number, bottom: number): Markup {
  return label(text, x, bottom + 6.5, {
    'text-anchor': 'middle',
    'font-size': TYPE.small,
    fill: COLOUR.soft,
  });
}

function drawScaleBar(factor: number, box: Box, y: number): Markup {
  const length = barLength(factor, 50);
  const width = factor * length;
  const { x } = box;
  const part = width / 5;
  const blocks = [0, 2, 4].map((i) =>
    el('rect', { x: x + i * part, y: y - 1.2, width: part, height: 1.2, fill: COLOUR.ink }),
  );
  return group(
    { 'font-size': TYPE.small, fill: COLOUR.ink },
    el('rect', {
      x,
      y: y - 1.2,
      width,
      height: 1.2,
      fill: COLOUR.paper,
      stroke: COLOUR.ink,
      'stroke-width': LINE.hair,
    }),
    ...blocks,
    label(`${length} mm`, x + width + 1.4, y),
  );
}

/** What the lines mean. */
function drawKey(box: Box, y: number): Markup {
  const right = box.x + box.width;
  const first = right - 48;
  const second = right - 21;
  return group(
    { 'font-size': TYPE.small, fill: COLOUR.soft },
    segment(first, y - 0.8, first + 5, y - 0.8, { stroke: COLOUR.slate, 'stroke-width': 0.3 }),
    label('midline, margin', first + 6.2, y),
    el('rect', { x: second, y: y - 1.8, width: 5, height: 2, fill: COLOUR.clay, 'fill-opacity': 0.28 }),
    segment(second, y - 1.8, second + 5, y - 1.8, {
      stroke: COLOUR.clay,
      'stroke-width': LINE.thin,
      'stroke-dasharray': '1.4 0.9',
    }),
    label('mirror image', second + 6.2, y),
  );
}
