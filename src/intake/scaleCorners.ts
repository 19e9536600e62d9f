import type { Points2 } from '../geometry/types.ts';
import { edgeAlong, type Light } from './scaleLight.ts';

/** Share of a side left out at each end: near a corner the other side is in the way. */
const ENDS = 0.12;
/** Places along a side where the edge is looked for. */
const PLACES = 40;
/** Edges have at least this contrast: dark by so much of the lighter side. */
const CONTRAST = 0.35;
/** Share of the places on each side where an edge must be found. */
const FOUND = 0.6;
/** Farthest that is looked on either side of an edge, pixels. */
const FARTHEST = 12;
const ROUNDS = 3;

interface Line {
  /** A point on the line and its unit direction. */
  readonly x: number;
  readonly y: number;
  readonly dx: number;
  readonly dy: number;
}

/**
 * Corners of a dark square as the crossings of straight lines through its four edges, each fitted to sub-pixel places
 * along the side. `cells` is how many cells of its code one side has: the frame and the bare paper are a cell wide.
 * Undefined where a side is hidden or blurred away.
 */
export function refineQuad(light: Light, quad: Points2, cells: number): Points2 | undefined {
  let corners = quad;
  for (let round = 0; round < ROUNDS; round++) {
    const sides: Line[] = [];
    for (let i = 0; i < 8; i += 2) {
      const side = sideLine(light, corners, i, cells);
      if (side === undefined) return undefined;
      sides.push(side);
    }
    const next = new Float64Array(8);
    for (let i = 0; i < 4; i++) next.set(crossing(sides[(i + 3) & 3], sides[i]), 2 * i);
    const moved = next.reduce((most, value, i) => Math.max(most, Math.abs(value - corners[i])), 0);
    corners = next;
    if (moved < 1e-3) break;
  }
  return corners.every(Number.isFinite) ? corners : undefined;
}

/** The line through the edge from corner `i` to the next (clockwise, so that outside lies to the left). */
function sideLine(light: Light, q: Points2, i: number, cells: number): Line | undefined {
  const [ax, ay, bx, by] = [q[i], q[i + 1], q[(i + 2) & 7], q[(i + 3) & 7]];
  const length = Math.hypot(bx - ax, by - ay);
  const [dx, dy] = [(bx - ax) / length, (by - ay) / length];
  const reach = Math.max(2, Math.min(FARTHEST, (0.7 * length) / cells));
  const points: number[] = [];
  for (let k = 0; k < PLACES; k++) {
    const t = length * (ENDS + ((1 - 2 * ENDS) * (k + 0.5)) / PLACES);
    const [x, y] = [ax + t * dx, ay + t * dy];
    // Outward: with y down and corners clockwise, the left of the way along.
    const edge = edgeAlong(light, x, y, dy, -dx, reach, CONTRAST);
    if (edge !== undefined && edge.rise > 0) points.push(x + edge.at * dy, y - edge.at * dx);
  }
  return points.length >= 2 * FOUND * PLACES ? robustLine(Float64Array.from(points)) : undefined;
}

/** Total-least-squares line, twice more without points that lie off it by over 3 robust standard deviations. */
export function robustLine(points: Points2): Line {
  let kept = points;
  for (let round = 0; ; round++) {
    const line = fitLine(kept);
    if (round === 2) return line;
    const offs = new Float64Array(points.length / 2);
    for (let i = 0; i < offs.length; i++) {
      offs[i] = Math.abs((points[2 * i] - line.x) * line.dy - (points[2 * i + 1] - line.y) * line.dx);
    }
    // 1.4826 × the median of absolute deviations is the standard deviation of normal errors.
    const limit = 3 * Math.max(0.02, 1.4826 * Float64Array.from(offs).sort()[offs.length >> 1]);
    kept = points.filter((_, i) => offs[i >> 1] <= limit);
  }
}

function fitLine(points: Points2): Line {
  const n = points.length / 2;
  let [x, y] = [0, 0];
  for (let i = 0; i < points.length; i += 2) {
    x += points[i] / n;
    y += points[i + 1] / n;
  }
  let [xx, xy, yy] = [0, 0, 0];
  for (let i = 0; i < points.length; i += 2) {
    const [u, v] = [points[i] - x, points[i + 1] - y];
    xx += u * u;
    xy += u * v;
    yy += v * v;
  }
  const angle = Math.atan2(2 * xy, xx - yy) / 2;
  return { x, y, dx: Math.cos(angle), dy: Math.sin(angle) };
}

function crossing(a: Line, b: Line): [number, number] {
  const cross = a.dx * b.dy - a.dy * b.dx;
  const t = ((b.x - a.x) * b.dy - (b.y - a.y) * b.dx) / cross;
  return [a.x + t * a.dx, a.y + t * a.dy];
}
