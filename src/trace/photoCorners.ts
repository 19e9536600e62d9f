import { solveSymmetric } from '../geometry/leastSquares.ts';
import { maskInside } from '../geometry/polygonMask.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { linearOf } from '../intake/scaleLight.ts';
import { cornersOf } from './photoTips.ts';

/** Greatest angle that counts as a corner, and least, degrees: narrower ones are tips (`photoTips.ts`). */
const CORNER = 125;
const TIP = 75;
/** Points to either side that smoothing and blur have rounded, and how many beyond them tell how the sides run on. */
const [ROUNDED, SIDE] = [4, 10];
/** The sides are at least this far apart where they are first believed, pixels. */
const APART = 4;
/** Nearest and farthest that a corner is drawn out, pixels. */
const [NEAREST, FARTHEST] = [0.15, 7];
/** The light within this of the corner is weighed, pixels: what blur takes over the edge comes back over it. */
const WEIGHED = 3.5;
/** Colours are read at least and at most so far from the edge, pixels. */
const [CLEAR, READ] = [2.5, 9];
const FEWEST = 20;
/** Least contrast, in standard deviations of what the two sides vary by themselves. */
const CONTRAST = 5;
/** Variance of linear light that even a plain side has. */
const LEAST_VARIANCE = 2e-6;
/** Shares of the missing area that must be seen for a corner to be drawn out at all, and all the way. */
const [SOME, ALL] = [0.3, 0.8];
/** Steps of a quarter of a pixel that a side is carried on; and what holds it straight: a little against noise, or all the way. */
const STEPS = 4 * (2 * FARTHEST + 2 * ROUNDED);
const STIFF = [0.02, 1e6];
/** A pixel's cover is believed to be between none and all but for so many deviations of its noise: other facets are no more than all. */
const NOISES = 2;
/** Parts of a pixel along its side for which cover is counted. */
const PARTS = 4;

/**
 * Draws corners out to where their sides meet, as far as the light there says so: readings to either side of a corner see
 * both of its edges, so that the ring cuts it. How much light of the piece lies beyond the ring, blur or not, is how
 * much of the corner is missing. The ring: one point about every pixel, either sense.
 */
export function drawCorners(ring: Points2, picture: Pixels): Points2 {
  const n = ring.length / 2;
  if (n < 8 * (ROUNDED + SIDE)) return ring;
  const skipped = new Uint8Array(n);
  const placed = new Map<number, Pair>();
  for (const at of cornersOf(ring, CORNER)) {
    const corner = cornerAt(ring, at, picture);
    if (corner === undefined) continue;
    for (let k = -corner.reach + 1; k < corner.reach; k++) skipped[(at + k + n) % n] = 1;
    placed.set(at, corner.end);
  }
  const out: number[] = [];
  for (let i = 0; i < n; i++) {
    const end = placed.get(i);
    if (end !== undefined) out.push(...end);
    else if (skipped[i] === 0) out.push(ring[2 * i], ring[2 * i + 1]);
  }
  return Float64Array.from(out);
}

type Pair = readonly [number, number];

function cornerAt(
  ring: Points2,
  at: number,
  picture: Pixels,
): { readonly reach: number; readonly end: Pair } | undefined {
  const n = ring.length / 2;
  const point = (k: number): Pair => {
    const i = (at + k + 4 * n) % n;
    return [ring[2 * i], ring[2 * i + 1]];
  };
  const apart = (m: number): number => Math.hypot(point(-m)[0] - point(m)[0], point(-m)[1] - point(m)[1]);
  let reach = ROUNDED;
  while (reach < 4 * ROUNDED && apart(reach) < APART) reach++;
  const sides = [-1, 1].map((sign) =>
    Array.from({ length: SIDE }, (_, k) => point(sign * (reach + SIDE - 1 - k))),
  );
  const now = point(0);
  // Bent sides and straight ones meet at about one place, or the nearer of the two is the safer one.
  const places = STIFF.map((stiff) => crossing(onward(sides[0], stiff), onward(sides[1], stiff)));
  const away = places.map((place) =>
    place === undefined ? Infinity : Math.hypot(place[0] - now[0], place[1] - now[1]),
  );
  const meet = places[away[0] <= away[1] ? 0 : 1];
  const far = Math.min(...away);
  if (meet === undefined || far < NEAREST || far > FARTHEST) return undefined;
  // A corner is drawn out, never in: that way lies another facet, not the backdrop.
  const [p, q] = [point(-reach), point(reach)];
  const outward = [now[0] - (p[0] + q[0]) / 2, now[1] - (p[1] + q[1]) / 2];
  if ((meet[0] - now[0]) * outward[0] + (meet[1] - now[1]) * outward[1] <= 0) return undefined;
  if (angleAt(meet, sides[0][0], sides[1][0]) < TIP) return undefined;
  const around = Array.from({ length: 2 * (reach + READ) + 1 }, (_, k) => point(k - reach - READ));
  const wedge = [point(-reach), meet, point(reach)];
  const cut = around.slice(READ, READ + 2 * reach + 1);
  const seen = shareSeen(ring, around, cut, wedge, picture);
  if (seen === undefined || seen < SOME) return undefined;
  const share = seen > ALL ? 1 : seen;
  return { reach, end: [now[0] + share * (meet[0] - now[0]), now[1] + share * (meet[1] - now[1])] };
}

/** Degrees between the ways from one place to two others. */
function angleAt([x, y]: Pair, [ax, ay]: Pair, [bx, by]: Pair): number {
  const [ux, uy, vx, vy] = [ax - x, ay - y, bx - x, by - y];
  return (Math.abs(Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)) * 180) / Math.PI;
}

/** How a side runs on past the last of its points: a parabola over its chord, held straight by `stiff`, every quarter of a pixel. */
function onward(points: readonly Pair[], stiff: number): Pair[] {
  const last = points.length - 1;
  const [[x0, y0], [x1, y1]] = [points[0], points[last]];
  const size = Math.hypot(x1 - x0, y1 - y0) || 1;
  const [dx, dy] = [(x1 - x0) / size, (y1 - y0) / size];
  const normal = new Float64Array(9);
  const against = new Float64Array(3);
  for (const [x, y] of points) {
    const t = ((x - x0) * dx + (y - y0) * dy) / size;
    const terms = [1, t, t * t];
    const off = (y - y0) * dx - (x - x0) * dy;
    for (let r = 0; r < 3; r++) {
      against[r] += terms[r] * off;
      for (let c = 0; c < 3; c++) normal[3 * r + c] += terms[r] * terms[c];
    }
  }
  normal[8] += stiff;
  const fit = solveSymmetric(normal, against) ?? new Float64Array(3);
  return Array.from({ length: STEPS }, (_, k): Pair => {
    const t = 1 + k / 4 / size;
    const off = fit[0] + t * (fit[1] + t * fit[2]);
    return [x0 + t * size * dx - off * dy, y0 + t * size * dy + off * dx];
  });
}

/** Where two lines first cross. */
function crossing(a: readonly Pair[], b: readonly Pair[]): Pair | undefined {
  for (let sum = 0; sum < a.length + b.length - 3; sum++) {
    for (let i = Math.max(0, sum - b.length + 2); i <= Math.min(sum, a.length - 2); i++) {
      const at = cross(a[i], a[i + 1], b[sum - i], b[sum - i + 1]);
      if (at !== undefined) return at;
    }
  }
  return undefined;
}

function cross(a: Pair, b: Pair, c: Pair, d: Pair): Pair | undefined {
  const [ux, uy, vx, vy] = [b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]];
  const turn = ux * vy - uy * vx;
  if (Math.abs(turn) < 1e-9) return undefined;
  const [wx, wy] = [c[0] - a[0], c[1] - a[1]];
  const [s, t] = [(wx * vy - wy * vx) / turn, (wx * uy - wy * ux) / turn];
  return s >= 0 && s <= 1 && t >= 0 && t <= 1 ? [a[0] + s * ux, a[1] + s * uy] : undefined;
}

/**
 * Which share of the area between a ring and the wedge that would stand in its place the picture shows, by light;
 * undefined where the two sides can't be told apart.
 */
function shareSeen(
  ring: Points2,
  around: readonly Pair[],
  cut: readonly Pair[],
  wedge: readonly Pair[],
  picture: Pixels,
): number | undefined {
  const window = windowOf(around, picture);
  if (window === undefined) return undefined;
  const before = coverIn(ring, window);
  const changed = coverIn(Float64Array.from([...cut, ...wedge.slice().reverse()].flat()), window);
  let [area, sign] = [0, 0];
  changed.forEach((share, i) => {
    area += share;
    // Cells that the wedge adds lie outside the ring, those that it takes away inside.
    sign += share * (1 - 2 * before[i]);
  });
  if (area < NEAREST) return undefined;
  const { width, height, left, top } = window;
  const near = new Uint8Array(width * height);
  const sides: [number[], number[]] = [[], []];
  const [cornered, all] = [
    [...cut, wedge[1]],
    [...around, wedge[1]],
  ].map((points) => Float64Array.from(points.flat()));
  for (let v = 0, i = 0; v < height; v++) {
    for (let u = 0; u < width; u++, i++) {
      const away = nearest(cornered, left + u, top + v);
      if (away <= WEIGHED) near[i] = 1;
      if (away > READ || changed[i] > 0 || nearest(all, left + u, top + v) < CLEAR) continue;
      if (before[i] === 1) sides[1].push(i);
      else if (before[i] === 0) sides[0].push(i);
    }
  }
  if (Math.min(sides[0].length, sides[1].length) < FEWEST) return undefined;
  const light = (i: number): Triple => {
    const k = 4 * ((top + Math.floor(i / width)) * picture.width + left + (i % width));
    return [linearOf(picture.rgba[k]), linearOf(picture.rgba[k + 1]), linearOf(picture.rgba[k + 2])];
  };
  const cover = coverBy(sides[0].map(light), sides[1].map(light));
  if (cover === undefined) return undefined;
  let missing = 0;
  for (let i = 0; i < near.length; i++) if (near[i] === 1) missing += cover(light(i)) - before[i];
  return (missing * Math.sign(sign)) / area;
}

type Triple = readonly [number, number, number];

interface Window {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

function windowOf(points: readonly Pair[], picture: Pixels): Window | undefined {
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  const left = Math.max(0, Math.floor(Math.min(...xs)) - FARTHEST - 4);
  const top = Math.max(0, Math.floor(Math.min(...ys)) - FARTHEST - 4);
  const width = Math.min(picture.width, Math.ceil(Math.max(...xs)) + FARTHEST + 5) - left;
  const height = Math.min(picture.height, Math.ceil(Math.max(...ys)) + FARTHEST + 5) - top;
  return width > 0 && height > 0 ? { left, top, width, height } : undefined;
}

/** Share of each pixel of a window that lies within a ring (even-odd). */
function coverIn(ring: Points2, { left, top, width, height }: Window): Float64Array {
  const [first, cell] = [0.5 / PARTS - 0.5, 1 / PARTS];
  const columns = width * PARTS;
  const mask = maskInside([ring], {
    x0: left + first,
    y0: top + first,
    cell,
    columns,
    rows: height * PARTS,
  });
  const cover = new Float64Array(width * height);
  for (let i = 0; i < mask.length; i++) {
    if (mask[i] === 0) continue;
    const [u, v] = [i % columns, Math.floor(i / columns)];
    cover[Math.floor(v / PARTS) * width + Math.floor(u / PARTS)] += cell * cell;
  }
  return cover;
}

/** Distance to the nearest of some points (x y pairs). */
function nearest(points: Float64Array, x: number, y: number): number {
  let least = Infinity;
  for (let i = 0; i < points.length; i += 2) {
    const dx = points[i] - x;
    const dy = points[i + 1] - y;
    least = Math.min(least, dx * dx + dy * dy);
  }
  return Math.sqrt(least);
}

/** How much of the piece a light shows, 0…1, along the direction of colour that tells its two sides apart best. */
function coverBy(
  outside: readonly Triple[],
  inside: readonly Triple[],
): ((light: Triple) => number) | undefined {
  const means = [outside, inside].map((side) =>
    [0, 1, 2].map((c) => side.reduce((sum, light) => sum + light[c], 0) / side.length),
  );
  const spread = new Float64Array(9);
  [outside, inside].forEach((side, s) => {
    for (const light of side) {
      for (let r = 0; r < 3; r++) {
        for (let c = 0; c < 3; c++) {
          spread[3 * r + c] += ((light[r] - means[s][r]) * (light[c] - means[s][c])) / side.length / 2;
        }
      }
    }
  });
  for (let c = 0; c < 9; c += 4) spread[c] += LEAST_VARIANCE;
  const difference = means[1].map((v, c) => v - means[0][c]);
  const weights = solveSymmetric(spread, Float64Array.from(difference));
  if (weights === undefined) return undefined;
  const contrast = difference.reduce((sum, d, c) => sum + d * weights[c], 0);
  if (!(contrast > CONTRAST * CONTRAST)) return undefined;
  const slack = NOISES / Math.sqrt(contrast);
  return (light) => {
    const cover = light.reduce((sum, v, c) => sum + (v - means[0][c]) * weights[c], 0) / contrast;
    return Math.min(1 + slack, Math.max(-slack, cover));
  };
}
