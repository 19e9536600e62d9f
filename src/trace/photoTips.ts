import { addSegment, fitLine, segmentMoments } from '../geometry/totalLeastSquares.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { lightInto } from '../intake/scaleLight.ts';

/** Points to either side over which a corner is looked for, and the greatest angle that counts as one, degrees. */
const ARM = 10;
const CORNER = 100;
/** The sides of a tip are straight lines through where it is this wide, pixels: narrower, blur moves the edges. */
const [NARROW, WIDE] = [4, 12];
/** Fewest points for a side, and farthest that a tip is drawn out, pixels. */
const FEWEST = 4;
const FARTHEST = 16;
/** Where a wedge covers this share of a blurred pixel on its middle line, it is about WIDTH_LEFT pixels wide. */
const COVER = 0.3;
const WIDTH_LEFT = 0.8;

/** A ring with some of its ends drawn anew, and the point of the former ring at which each of its points stands. */
export interface Redrawn {
  readonly ring: Points2;
  readonly from: Uint32Array;
}

/** A place that takes the place of a ring's point `at` and of the `reach` − 1 points to either side of it. */
export interface NewEnd {
  readonly at: number;
  readonly reach: number;
  readonly end: readonly [number, number];
  /** Standard uncertainty of the end, pixels, by what the picture shows beyond it. */
  readonly error?: number;
}

/** The ring with new ends. */
export function withEnds(ring: Points2, ends: readonly NewEnd[]): Redrawn {
  const n = ring.length / 2;
  const skipped = new Uint8Array(n);
  const placed = new Map<number, readonly [number, number]>();
  for (const { at, reach, end } of ends) {
    for (let k = -reach + 1; k < reach; k++) skipped[(at + k + n) % n] = 1;
    placed.set(at, end);
  }
  const out = new Float64Array(2 * n);
  const from = new Uint32Array(n);
  let count = 0;
  for (let i = 0; i < n; i++) {
    const end = skipped[i] === 1 ? placed.get(i) : undefined;
    if (end === undefined && skipped[i] === 1) continue;
    out[2 * count] = end === undefined ? ring[2 * i] : end[0];
    out[2 * count + 1] = end === undefined ? ring[2 * i + 1] : end[1];
    from[count++] = i;
  }
  return { ring: out.slice(0, 2 * count), from: from.slice(0, count) };
}

/**
 * Where sharp tips end. Edges are read on either side of a boundary; where a tip is narrower than a
 * few pixels its two edges run into one, and the ring stops short. From there the sides are carried on as straight lines, but
 * never past the place where the picture stops showing the piece. The ring: one point a pixel, either sense.
 */
export function tipsOf(ring: Points2, picture: Pixels): NewEnd[] {
  if (ring.length < 12 * ARM) return [];
  return cornersOf(ring, CORNER)
    .map((at) => tipAt(ring, at, picture))
    .filter((tip) => tip !== undefined);
}

/** Points at which the ring turns most sharply, to less than `most` degrees, as seen from `arm` points to either side. */
export function cornersOf(ring: Points2, most: number, arm = ARM): number[] {
  const n = ring.length / 2;
  // The cosine of an angle is the greater the sharper it is.
  const least = Math.cos((most * Math.PI) / 180);
  const cosines = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const a = (i + n - arm) % n;
    const b = (i + arm) % n;
    const ax = ring[2 * a] - ring[2 * i];
    const ay = ring[2 * a + 1] - ring[2 * i + 1];
    const bx = ring[2 * b] - ring[2 * i];
    const by = ring[2 * b + 1] - ring[2 * i + 1];
    cosines[i] = (ax * bx + ay * by) / (Math.sqrt((ax * ax + ay * ay) * (bx * bx + by * by)) || 1);
  }
  const corners: number[] = [];
  for (let i = 0; i < n; i++) {
    if (cosines[i] <= least) continue;
    let sharpest = true;
    for (let k = -arm; k <= arm && sharpest; k++) {
      const other = cosines[(i + k + n) % n];
      if (other > cosines[i] || (other === cosines[i] && k < 0)) sharpest = false;
    }
    if (sharpest) corners.push(i);
  }
  return corners;
}

function tipAt(ring: Points2, at: number, picture: Pixels): NewEnd | undefined {
  const n = ring.length / 2;
  const point = (i: number): [number, number] => [ring[2 * ((i + n) % n)], ring[2 * ((i + n) % n) + 1]];
  const sides: [number[], number[]] = [[], []];
  let reach = 0;
  for (let m = 2; m < n / 6; m++) {
    const [p, q] = [point(at - m), point(at + m)];
    const width = Math.hypot(p[0] - q[0], p[1] - q[1]);
    if (width > WIDE) break;
    if (width < NARROW) continue;
    if (reach === 0) reach = m;
    sides[0].push(...p);
    sides[1].push(...q);
  }
  if (sides[0].length < 2 * FEWEST) return undefined;
  const crossing = cross(lineOf(sides[0]), lineOf(sides[1]));
  if (crossing === undefined) return undefined;
  const root = middle(point(at - reach), point(at + reach));
  const now = point(at);
  const [dx, dy] = [crossing[0] - root[0], crossing[1] - root[1]];
  const whole = Math.hypot(dx, dy);
  const direction = [dx / whole, dy / whole] as const;
  const already = (now[0] - root[0]) * direction[0] + (now[1] - root[1]) * direction[1];
  if (!(whole > already) || whole - already > FARTHEST) return undefined;
  const cover = coverOf(sides, crossing, direction, picture);
  if (cover === undefined) return undefined;
  let seen = already;
  for (let t = already; t <= whole; t += 0.25) {
    if (cover(root[0] + t * direction[0], root[1] + t * direction[1]) < COVER) break;
    seen = t;
  }
  const rootWidth = Math.hypot(
    point(at - reach)[0] - point(at + reach)[0],
    point(at - reach)[1] - point(at + reach)[1],
  );
  const end = Math.min(whole, seen + (WIDTH_LEFT * whole) / rootWidth);
  if (end <= already) return undefined;
  return { at, reach, end: [root[0] + end * direction[0], root[1] + end * direction[1]] };
}

/** How much of the piece a place shows, 0…1: colour between that inside the tip and that before it. */
function coverOf(
  sides: readonly [readonly number[], readonly number[]],
  tip: readonly [number, number],
  [dx, dy]: readonly [number, number],
  picture: Pixels,
): ((x: number, y: number) => number) | undefined {
  const count = sides[0].length / 2;
  const within = Array.from({ length: count - (count >> 1) }, (_, i): Pair => {
    const k = 2 * (i + (count >> 1));
    return middle([sides[0][k], sides[0][k + 1]], [sides[1][k], sides[1][k + 1]]);
  });
  const inside = lightAt(picture, within);
  const around: readonly Pair[] = [
    [5, 0],
    [7, 0],
    [2, 5],
    [2, -5],
    [-2, 6],
    [-2, -6],
  ];
  const outside = lightAt(
    picture,
    around.map(
      ([along, across]): Pair => [tip[0] + along * dx - across * dy, tip[1] + along * dy + across * dx],
    ),
  );
  const difference = inside.map((value, c) => value - outside[c]);
  const square = difference.reduce((sum, d) => sum + d * d, 0);
  if (square < 1e-6) return undefined;
  return (x, y) => {
    const here = [0, 0, 0];
    lightInto(picture, x, y, here);
    return here.reduce((sum, value, c) => sum + (value - outside[c]) * difference[c], 0) / square;
  };
}

/** Mean linear light of places. */
function lightAt(picture: Pixels, places: readonly Pair[]): number[] {
  const here = [0, 0, 0];
  const mean = [0, 0, 0];
  for (const [x, y] of places) {
    lightInto(picture, x, y, here);
    for (let c = 0; c < 3; c++) mean[c] += here[c] / places.length;
  }
  return mean;
}

type Pair = readonly [number, number];

function middle(a: Pair, b: Pair): [number, number] {
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
}

/** Total-least-squares line through points in order: a point and a unit direction. */
function lineOf(points: readonly number[]): { at: Pair; along: Pair } {
  const moments = segmentMoments();
  for (let k = 2; k < points.length; k += 2) {
    addSegment(moments, points[k - 2], points[k - 1], points[k], points[k + 1]);
  }
  const { u, w, direction } = fitLine(moments);
  return { at: [u, w], along: [Math.cos(direction), Math.sin(direction)] };
}

function cross(a: { at: Pair; along: Pair }, b: { at: Pair; along: Pair }): [number, number] | undefined {
  const turn = a.along[0] * b.along[1] - a.along[1] * b.along[0];
  if (Math.abs(turn) < 0.05) return undefined;
  const t = ((b.at[0] - a.at[0]) * b.along[1] - (b.at[1] - a.at[1]) * b.along[0]) / turn;
  return [a.at[0] + t * a.along[0], a.at[1] + t * a.along[1]];
}
