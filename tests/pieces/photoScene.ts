import type { Points2 } from '../../src/geometry/types.ts';
import type { MatPaper, PlaneBox } from '../../src/intake/photoTypes.ts';
import { isWhite, MARKER_CELLS } from '../../src/intake/scaleMatCodes.ts';
import { MARKER_SIDE, type MatLayout, matLayout } from '../../src/intake/scaleMatLayout.ts';
import { bounds, createInside } from './polygonInside.ts';

/** A flat thing's place: its own origin on the plane, mm, and a turn, degrees counter-clockwise. */
export interface Place {
  readonly x: number;
  readonly y: number;
  readonly angle?: number;
}

export type Stone = 'flint' | 'obsidian' | 'pale' | 'jasper';

export interface PieceInPhoto {
  /** Outline in the piece's own millimetres, counter-clockwise. */
  readonly outline: Points2;
  readonly place: Place;
  /** Height of the margin over the plane, mm: the silhouette is the outline at this height. */
  readonly height: number;
  readonly stone: Stone;
  /** How bright each place of the piece is (its own millimetres), about 1: its relief under the lamp. */
  readonly relief?: (x: number, y: number) => number;
}

/** A card with a bar of blocks, black and white in turn. The place is the bar's middle; +x runs along it. */
export interface BarInPhoto {
  readonly place: Place;
  readonly block: number;
  readonly blocks: number;
  /** Across the bar, mm. */
  readonly thickness: number;
  /** White card left bare round the bar, mm. */
  readonly rim: number;
  /** Whether the end blocks are black (the usual way) or white with a thin black line round the whole bar. */
  readonly framed?: boolean;
}

/** A paper slip with lines of writing. */
export interface LabelInPhoto {
  readonly place: Place;
  readonly width: number;
  readonly height: number;
}

export interface SceneSpec {
  readonly mat?: MatPaper;
  readonly bars?: readonly BarInPhoto[];
  readonly labels?: readonly LabelInPhoto[];
  readonly pieces?: readonly PieceInPhoto[];
  /** Dark discs that lie on everything flat and hide markers: x, y, radius in mm. */
  readonly covers?: readonly (readonly [number, number, number])[];
}

/** What is seen at one place. Pieces are PIECE, PIECE + 1, …. */
export const REGION = { backdrop: 0, paper: 1, ink: 2, cover: 3, PIECE: 16 } as const;

export interface Scene {
  readonly spec: SceneSpec;
  /** Piece rings on the plane's axes (at their heights). */
  readonly rings: readonly Points2[];
  /** Heights at which things lie, ground first; then one for each piece. */
  readonly heights: readonly number[];
  /** Region of a ray given by where it meets each of `heights` (x y pairs). */
  regionAt(hits: Float64Array): number;
}

export function createScene(spec: SceneSpec): Scene {
  const pieces = spec.pieces ?? [];
  const rings = pieces.map(({ outline, place }) => placedRing(outline, place));
  const insides = rings.map((ring) => ({ box: bounds(ring), inside: createInside(ring) }));
  const flat = flatRegions(spec);
  return {
    spec,
    rings,
    heights: [0, ...pieces.map(({ height }) => height)],
    regionAt(hits) {
      for (let i = 0; i < insides.length; i++) {
        const [x, y] = [hits[2 * i + 2], hits[2 * i + 3]];
        const { box, inside } = insides[i];
        if (x > box.x0 && x < box.x1 && inside(x, y)) return REGION.PIECE + i;
      }
      return flat(hits[0], hits[1]);
    },
  };
}

export function placedRing(ring: Points2, { x, y, angle = 0 }: Place): Points2 {
  const [c, s] = [Math.cos((angle * Math.PI) / 180), Math.sin((angle * Math.PI) / 180)];
  return ring.map((_, i) => {
    const [px, py] = [ring[i & ~1], ring[i | 1]];
    return (i & 1) === 0 ? x + c * px - s * py : y + s * px + c * py;
  });
}

type Flat = (x: number, y: number) => number;

function flatRegions({ mat, bars = [], labels = [], covers = [] }: SceneSpec): Flat {
  const sheet = mat === undefined ? undefined : matLayout(mat);
  const things = [
    ...bars.map((bar) => onPlace(bar.place, (x, y) => barRegion(bar, x, y))),
    ...labels.map((label) => onPlace(label.place, (x, y) => labelRegion(label, x, y))),
  ];
  return (x, y) => {
    for (const [cx, cy, r] of covers) if (Math.hypot(x - cx, y - cy) < r) return REGION.cover;
    for (const thing of things) {
      const region = thing(x, y);
      if (region !== REGION.backdrop) return region;
    }
    return sheet === undefined ? REGION.backdrop : matRegion(sheet, x, y);
  };
}

function onPlace({ x: x0, y: y0, angle = 0 }: Place, own: Flat): Flat {
  const [c, s] = [Math.cos((angle * Math.PI) / 180), Math.sin((angle * Math.PI) / 180)];
  return (x, y) => own(c * (x - x0) + s * (y - y0), -s * (x - x0) + c * (y - y0));
}

function within(box: PlaneBox, x: number, y: number): boolean {
  return x > box.left && x < box.right && y > box.bottom && y < box.top;
}

function matRegion({ sheet, field, markers, bar }: MatLayout, x: number, y: number): number {
  if (!within(sheet, x, y)) return REGION.backdrop;
  if (within(field, x, y)) return REGION.paper;
  if (within(bar, x, y)) return Math.floor((x - bar.left) / bar.block) % 2 === 0 ? REGION.ink : REGION.paper;
  for (const { id, corners } of markers) {
    if (x < corners[0] || y > corners[1]) continue;
    const column = Math.floor(((x - corners[0]) / MARKER_SIDE) * MARKER_CELLS);
    const row = Math.floor(((corners[1] - y) / MARKER_SIDE) * MARKER_CELLS);
    if (column < MARKER_CELLS && row < MARKER_CELLS) {
      return isWhite(id, row, column) ? REGION.paper : REGION.ink;
    }
  }
  return REGION.paper;
}

function barRegion(
  { block, blocks, thickness, rim, framed = false }: BarInPhoto,
  x: number,
  y: number,
): number {
  const [half, halfThick] = [(block * blocks) / 2, thickness / 2];
  if (Math.abs(x) > half + rim || Math.abs(y) > halfThick + rim) return REGION.backdrop;
  const line = framed ? 0.3 : 0;
  if (Math.abs(x) > half + line || Math.abs(y) > halfThick + line) return REGION.paper;
  if (Math.abs(x) > half || Math.abs(y) > halfThick) return REGION.ink;
  return Math.floor((x + half) / block) % 2 === 0 ? REGION.ink : REGION.paper;
}

/** Words of uneven length on lines 5 mm apart. */
function labelRegion({ width, height }: LabelInPhoto, x: number, y: number): number {
  if (Math.abs(x) > width / 2 || Math.abs(y) > height / 2) return REGION.backdrop;
  if (Math.abs(x) > width / 2 - 3 || Math.abs(y) > height / 2 - 3) return REGION.paper;
  const down = height / 2 - 3 - y;
  const row = Math.floor(down / 5);
  const stroke = Math.sin(2.9 * x + 5 * row) + Math.sin(1.7 * x + 2 * row * row) > 0.6;
  return down - 5 * row < 2.2 && stroke ? REGION.ink : REGION.paper;
}
