import { maskInside } from '../geometry/polygonMask.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { cornersOf } from './photoTips.ts';

/** Widest angle of a corner, degrees, between points so far to either side of it. */
const [CORNER, ARM] = [125, 18];
/** Points of either side through which it is carried on, counted from the corner. */
const [FROM, TO] = [8, 17];
/** How far beyond a ring its sides may meet for anything to lie there, and for it to be one corner, pixels. */
const [LEAST, MOST] = [1.5, 14];
/** Pixels this far from a ring, and as many standard deviations of its blur, show little of what it encloses. */
const CLEAR = 1;
const BLURS = 1.2;
/** Where the backdrop is read beside either side: pixels off it. */
const [NEAR, FAR] = [3, 7];
/** Fewer pixels beside a corner tell nothing of what varies there; of those beyond it even one may stand out. */
const FEWEST = 3;
/** Squared deviations from which on what lies there is of neither side's backdrop; neighbouring pixels are alike by so many at a time. */
const FOREIGN = 20;
const TOGETHER = 3;
const ROUNDS = 6;
/** Directions in which widths are looked at, and what share of them they are promised to be right to. */
const [DIRECTIONS, PROMISED] = [48, 0.003];
/** Variance of the mean of any few pixels: steps of 8-bit codes and what a smooth light changes by, squared codes. */
const STEPS = 1;

/** A corner of a ring beyond which the picture shows something else than backdrop. */
export interface Beyond {
  /** Point of the ring. */
  readonly at: number;
  /** How far on its sides would meet, pixels. */
  readonly reach: number;
  /** Standard uncertainty of where the corner ends, pixels: it may lie anywhere up to where its sides meet (rectangular). */
  readonly error: number;
}

/**
 * Corners that may go on beyond a ring: there, before the place where the sides would meet, lies what is like the backdrop on
 * neither side, as a small facet nearly as light as the backdrop. The ring: one point about every pixel, either sense.
 *
 * @param blur standard deviation of the bell over the picture's edges, pixels
 */
export function beyondCorners(ring: Points2, picture: Pixels, blur: number): Beyond[] {
  if (ring.length < 8 * TO) return [];
  return cornersOf(ring, CORNER, ARM)
    .map((at) => beyondAt(ring, at, picture, blur))
    .filter((one) => one !== undefined);
}

type Pair = readonly [number, number];

/**
 * Whether what may lie beyond a corner changes a width of the piece, in any direction, by more than numbers are promised to be
 * right to, or is as much of its greatest one. Where it does not, its uncertainty says all there is to say.
 */
export function mayWiden(ring: Points2, { at, reach, error }: Beyond): boolean {
  const n = ring.length / 2;
  const [before, after] = [2 * ((at - FROM + n) % n), 2 * ((at + FROM) % n)];
  const [x, y] = [ring[2 * at], ring[2 * at + 1]];
  const [dx, dy] = [x - (ring[before] + ring[after]) / 2, y - (ring[before + 1] + ring[after + 1]) / 2];
  const size = Math.hypot(dx, dy) || 1;
  const [tipX, tipY] = [x + (reach * dx) / size, y + (reach * dy) / size];
  let greatest = 0;
  for (let k = 0; k < DIRECTIONS; k++) {
    const [ux, uy] = [Math.cos((2 * Math.PI * k) / DIRECTIONS), Math.sin((2 * Math.PI * k) / DIRECTIONS)];
    let [least, most] = [Infinity, -Infinity];
    for (let i = 0; i < ring.length; i += 2) {
      const along = ring[i] * ux + ring[i + 1] * uy;
      if (along < least) least = along;
      if (along > most) most = along;
    }
    const more = tipX * ux + tipY * uy - most;
    if (more > 0 && (more * error) / reach > PROMISED * (most - least)) return true;
    greatest = Math.max(greatest, most - least);
  }
  return error > PROMISED * greatest;
}

function beyondAt(ring: Points2, at: number, picture: Pixels, blur: number): Beyond | undefined {
  const n = ring.length / 2;
  const point = (k: number): Pair => {
    const i = (at + k + n) % n;
    return [ring[2 * i], ring[2 * i + 1]];
  };
  const meet = crossing(point(-TO), point(-FROM), point(TO), point(FROM));
  if (meet === undefined) return undefined;
  const now = point(0);
  const away = Math.hypot(meet[0] - now[0], meet[1] - now[1]);
  const root: Pair = [(point(-FROM)[0] + point(FROM)[0]) / 2, (point(-FROM)[1] + point(FROM)[1]) / 2];
  const outward = (meet[0] - now[0]) * (now[0] - root[0]) + (meet[1] - now[1]) * (now[1] - root[1]);
  if (away < LEAST || away > MOST || outward <= 0) return undefined;
  const reach = Math.max(CLEAR, BLURS * blur);
  const around = Array.from({ length: 2 * FROM + 1 }, (_, k) => point(k - FROM));
  const wedge = pixelsWithin([...around, meet], picture).filter(([x, y]) =>
    around.every(([px, py]) => (px - x) ** 2 + (py - y) ** 2 > reach * reach),
  );
  if (wedge.length === 0) return undefined;
  const beside = (off: number) =>
    [-1, 1].map((sign) => besideSide(point(sign * FROM), point(sign * TO), root, off, picture));
  // What blur spreads over a straight side; over a corner it is less.
  const spread =
    wedge.reduce((sum, [x, y]) => {
      const off = Math.min(...around.map(([px, py]) => Math.hypot(px - x, py - y)));
      return sum + 1 / (1 + Math.exp((1.702 * off) / Math.max(0.1, blur)));
    }, 0) / wedge.length;
  const foreign = isForeign(coloursAt(wedge, picture), beside(1), beside(-1), spread);
  return foreign ? { at, reach: away, error: away / Math.sqrt(3) } : undefined;
}

/** Where the lines a–b and c–d meet beyond b and d. */
function crossing(a: Pair, b: Pair, c: Pair, d: Pair): Pair | undefined {
  const [ux, uy, vx, vy] = [b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]];
  const turn = ux * vy - uy * vx;
  if (Math.abs(turn) < 0.1 * Math.hypot(ux, uy) * Math.hypot(vx, vy)) return undefined;
  const s = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / turn;
  const t = ((c[0] - a[0]) * uy - (c[1] - a[1]) * ux) / turn;
  return s > 1 && t > 1 ? [a[0] + s * ux, a[1] + s * uy] : undefined;
}

/** Pixels whose centres lie within a polygon. */
function pixelsWithin(points: readonly Pair[], { width, height }: Pixels): Pair[] {
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  const x0 = Math.max(0, Math.floor(Math.min(...xs)));
  const y0 = Math.max(0, Math.floor(Math.min(...ys)));
  const columns = Math.min(width - 1, Math.ceil(Math.max(...xs))) - x0 + 1;
  const rows = Math.min(height - 1, Math.ceil(Math.max(...ys))) - y0 + 1;
  if (columns < 1 || rows < 1) return [];
  const mask = maskInside([Float64Array.from(points.flat())], { x0, y0, cell: 1, columns, rows });
  return Array.from(mask.keys())
    .filter((i) => mask[i] === 1)
    .map((i): Pair => [x0 + (i % columns), y0 + Math.floor(i / columns)]);
}

/** Pixels beside a side of the corner: away from `root`, or with `way` −1 towards it. */
function besideSide([ax, ay]: Pair, [bx, by]: Pair, root: Pair, way: number, picture: Pixels): Colours {
  const size = Math.hypot(bx - ax, by - ay) || 1;
  const [dx, dy] = [(bx - ax) / size, (by - ay) / size];
  const sign = (root[0] - ax) * -dy + (root[1] - ay) * dx > 0 ? -way : way;
  const places: Pair[] = [];
  for (let along = 0; along <= size; along++) {
    for (let off = NEAR; off <= FAR; off++) {
      const x = Math.round(ax + along * dx - sign * off * dy);
      const y = Math.round(ay + along * dy + sign * off * dx);
      if (x >= 0 && y >= 0 && x < picture.width && y < picture.height) places.push([x, y]);
    }
  }
  return coloursAt(places, picture);
}

/** Mean and variance of the codes of some pixels, by channel. */
interface Colours {
  readonly count: number;
  readonly mean: readonly number[];
  readonly variance: readonly number[];
}

function coloursAt(places: readonly Pair[], { rgba, width }: Pixels): Colours {
  const count = places.length;
  const channels = [0, 1, 2].map((c) => places.map(([x, y]) => rgba[4 * (y * width + x) + c]));
  const mean = channels.map((codes) => codes.reduce((sum, code) => sum + code, 0) / count);
  const variance = channels.map(
    (codes, c) => codes.reduce((sum, code) => sum + (code - mean[c]) ** 2, 0) / count,
  );
  return { count, mean, variance };
}

/**
 * Whether colours are like those of neither side's backdrop nor of anything between the two, even where up to `spread` of
 * what lies inside is spread over them.
 */
function isForeign(
  seen: Colours,
  [a, b]: readonly Colours[],
  [c, d]: readonly Colours[],
  spread: number,
): boolean {
  if (Math.min(a.count, b.count, c.count, d.count) < FEWEST) return false;
  const weights = [0, 1, 2].map(
    (k) => 1 / (STEPS + (TOGETHER * Math.max(a.variance[k], b.variance[k])) / seen.count),
  );
  const between = [0, 1, 2].map((k) => b.mean[k] - a.mean[k]);
  const inward = [0, 1, 2].map((k) => (c.mean[k] + d.mean[k] - a.mean[k] - b.mean[k]) / 2);
  const off = [0, 1, 2].map((k) => seen.mean[k] - a.mean[k]);
  // Least squares within bounds, one after the other: a few rounds settle it.
  const product = (x: readonly number[], y: readonly number[]): number =>
    x.reduce((sum, v, k) => sum + v * y[k] * weights[k], 0);
  let [share, inside] = [0, 0];
  for (let round = 0; round < ROUNDS; round++) {
    const rest = off.map((v, k) => v - inside * inward[k]);
    share = within(product(rest, between) / (product(between, between) || 1), 1);
    const other = off.map((v, k) => v - share * between[k]);
    inside = within(product(other, inward) / (product(inward, inward) || 1), spread);
  }
  const left = off.map((v, k) => v - share * between[k] - inside * inward[k]);
  return product(left, left) > FOREIGN;
}

function within(value: number, most: number): number {
  return Math.min(most, Math.max(0, value));
}
