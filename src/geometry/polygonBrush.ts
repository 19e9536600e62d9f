import {
  booleanOp,
  ClipType,
  EndType,
  FillRule,
  inflatePaths,
  JoinType,
  type Path64,
  type Paths64,
} from 'clipper2-ts';
import type { Points2 } from './types.ts';

/** A closed ring with one number at each of its points. */
export interface MarkedRing {
  /** 2 × n; closed implicitly. */
  readonly points: Points2;
  /** n long. */
  readonly marks: Float64Array;
}

export type BrushLine = readonly (readonly [x: number, y: number])[];

/** Coordinates are rounded to whole numbers up to this, so that products stay exact. */
const LARGEST = 2 ** 24;
/** How far the chords of a brush's round ends may lie inside them: units of the ring, and share of the radius. */
const SAG = 0.005;
const SAG_SHARE = 5e-5;
/** Sides of a brush's way that are widened together. */
const AT_ONCE = 24;

/**
 * What a ring becomes when a round brush goes along a line (one point or more): painted onto it (`union`) or off it
 * (`difference`). Points of the ring that stay keep their coordinates to the last bit, and their marks; new ones are
 * marked `fresh`. Outer rings run counter-clockwise, holes clockwise; neither may cross itself. Empty where nothing is left.
 */
export function brushed(
  ring: MarkedRing,
  line: BrushLine,
  radius: number,
  how: 'union' | 'difference',
  fresh: number,
): MarkedRing[] {
  const grid = gridAbout(ring.points, line, radius);
  const path = line.map(([x, y]) => grid.to(x, y));
  const sag = Math.max(SAG, SAG_SHARE * radius) * grid.scale;
  const stroke = strokeOf(path, radius * grid.scale, sag);
  return clipped(ring, stroke, how === 'union' ? ClipType.Union : ClipType.Difference, grid, fresh);
}

/** The region under a round brush. A long way is taken in short ones: one that crosses itself a thousand times takes for ever whole. */
function strokeOf(path: Path64, radius: number, sag: number): Paths64 {
  let parts: Paths64[] = [];
  for (let k = 0; k === 0 || k < path.length - 1; k += AT_ONCE) {
    const short = path.slice(k, k + AT_ONCE + 1);
    parts.push(inflatePaths([short], radius, JoinType.Round, EndType.Round, 2, sag));
  }
  while (parts.length > 1) {
    const fewer: Paths64[] = [];
    for (let k = 0; k < parts.length; k += 2) {
      const other = parts[k + 1];
      fewer.push(
        other === undefined ? parts[k] : booleanOp(ClipType.Union, parts[k], other, FillRule.NonZero),
      );
    }
    parts = fewer;
  }
  return parts[0];
}

/** A ring that may cross itself as the rings of all that it winds round; crossings are marked `fresh`. */
export function uncrossed(ring: MarkedRing, fresh: number): MarkedRing[] {
  return clipped(ring, [], ClipType.Union, gridAbout(ring.points, [], 0), fresh);
}

function clipped(
  { points, marks }: MarkedRing,
  stroke: Paths64,
  how: ClipType,
  grid: Grid,
  fresh: number,
): MarkedRing[] {
  const ring: Path64 = [];
  const known = new Map<number, number>();
  for (let i = 0; i < points.length; i += 2) {
    const at = grid.to(points[i], points[i + 1]);
    ring.push(at);
    known.set(keyOf(at.x, at.y), i);
  }
  return booleanOp(how, [ring], stroke, FillRule.NonZero)
    .filter((path) => path.length >= 3)
    .map((path) => {
      const out = { points: new Float64Array(2 * path.length), marks: new Float64Array(path.length) };
      path.forEach(({ x, y }, k) => {
        const i = known.get(keyOf(x, y));
        out.points[2 * k] = i === undefined ? grid.x0 + x / grid.scale : points[i];
        out.points[2 * k + 1] = i === undefined ? grid.y0 + y / grid.scale : points[i + 1];
        out.marks[k] = i === undefined ? fresh : marks[i >> 1];
      });
      return out;
    });
}

/** Whole numbers about the ring's first point. */
interface Grid {
  readonly x0: number;
  readonly y0: number;
  readonly scale: number;
  to(x: number, y: number): { x: number; y: number };
}

function gridAbout(points: Points2, line: BrushLine, radius: number): Grid {
  const [x0, y0] = [points[0], points[1]];
  let reach = radius;
  for (let i = 0; i < points.length; i += 2)
    reach = Math.max(reach, Math.abs(points[i] - x0), Math.abs(points[i + 1] - y0));
  for (const [x, y] of line) reach = Math.max(reach, Math.abs(x - x0) + radius, Math.abs(y - y0) + radius);
  const scale = LARGEST / reach;
  return {
    x0,
    y0,
    scale,
    to: (x, y) => ({ x: Math.round((x - x0) * scale), y: Math.round((y - y0) * scale) }),
  };
}

/** One number for two whole ones. */
function keyOf(x: number, y: number): number {
  return (x + LARGEST) * (2 * LARGEST + 1) + y + LARGEST;
}
