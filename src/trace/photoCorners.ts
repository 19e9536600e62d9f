import { solveSymmetric } from '../geometry/leastSquares.ts';
import { type RingBands, ringBands } from '../geometry/polygonMask.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { fitCorner } from './photoCornerFit.ts';
import type { CutCorner, Pair } from './photoCornerWindow.ts';
import { cornersOf, type NewEnd } from './photoTips.ts';

/** Greatest angle that counts as a corner, and least, degrees: narrower ones are tips (`photoTips.ts`). */
const CORNER = 125;
const TIP = 75;
/** Points to either side that smoothing and blur have rounded, and how many beyond them tell how the sides run on. */
const [ROUNDED, SIDE] = [4, 10];
/** The sides are at least this far apart where they are first believed, pixels. */
const APART = 4;
/** Nearest and farthest that a corner is drawn out, pixels. */
const [NEAREST, FARTHEST] = [0.15, 7];
/** Points beyond the cut on whose sides colours are read. */
const READ = 9;
/** Shares of the way to where its sides meet from which on a corner is drawn out, and is taken to go all the way. */
const [SOME, ALL] = [0.15, 0.6];
/** Fewer foreign pixels beyond a corner say nothing; a patch of more may reach as far as it is wide (rectangular). */
const LEAST_FOREIGN = 5;
/** Steps of a quarter of a pixel that a side is carried on; and what holds it straight: a little against noise, or all the way. */
const STEPS = 4 * (2 * FARTHEST + 2 * ROUNDED);
const STIFF = [0.02, 1e6];
/** The ring is looked up by bands so high, pixels. */
const BAND = 8;

/**
 * Where corners are that a ring cuts, because readings to either side of a corner see both of its edges: on the way to where
 * their sides meet, as far as the light there says. The ring: one point about every pixel, either sense.
 *
 * @param blur standard deviation of the bell over the picture's edges, pixels
 */
export function cutCorners(ring: Points2, picture: Pixels, blur: number): NewEnd[] {
  if (ring.length < 16 * (ROUNDED + SIDE)) return [];
  const bands = ringBands(ring, BAND);
  return cornersOf(ring, CORNER)
    .map((at) => cornerAt(bands, at, picture, blur))
    .filter((corner) => corner !== undefined);
}

function cornerAt(bands: RingBands, at: number, picture: Pixels, blur: number): NewEnd | undefined {
  const { ring } = bands;
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
  const corner: CutCorner = { around, cut: around.slice(READ, READ + 2 * reach + 1), now, meet };
  const fit = fitCorner(bands, corner, picture, blur);
  if (fit === undefined) return undefined;
  const error = fit.foreign < LEAST_FOREIGN ? 0 : Math.sqrt(fit.foreign / 3);
  if (fit.share < SOME) return error > 0 ? { at, reach: 1, end: now, error } : undefined;
  const share = fit.share > ALL && fit.share < 1 ? 1 : fit.share;
  const end: Pair = [now[0] + share * (meet[0] - now[0]), now[1] + share * (meet[1] - now[1])];
  return { at, reach, end, error };
}

/** Degrees between the ways from one place to two others. */
function angleAt([x, y]: Pair, [ax, ay]: Pair, [bx, by]: Pair): number {
  const [ux, uy, vx, vy] = [ax - x, ay - y, bx - x, by - y];
  return (Math.abs(Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)) * 180) / Math.PI;
}

/** How a side runs on past the last of its points: a parabola over its chord, held straight by `stiff`, every quarter of a pixel (x y pairs). */
function onward(points: readonly Pair[], stiff: number): Points2 {
  const last = points.length - 1;
  const [x0, y0] = points[0];
  const size = Math.hypot(points[last][0] - x0, points[last][1] - y0) || 1;
  const dx = (points[last][0] - x0) / size;
  const dy = (points[last][1] - y0) / size;
  const normal = new Float64Array(9);
  const against = new Float64Array(3);
  for (const point of points) {
    const t = ((point[0] - x0) * dx + (point[1] - y0) * dy) / size;
    const off = (point[1] - y0) * dx - (point[0] - x0) * dy;
    let term = 1;
    for (let r = 0; r < 3; r++) {
      against[r] += term * off;
      for (let c = 0, product = term; c < 3; c++, product *= t) normal[3 * r + c] += product;
      term *= t;
    }
  }
  normal[8] += stiff;
  const fit = solveSymmetric(normal, against) ?? new Float64Array(3);
  const out = new Float64Array(2 * STEPS);
  for (let k = 0; k < STEPS; k++) {
    const t = 1 + k / 4 / size;
    const off = fit[0] + t * (fit[1] + t * fit[2]);
    out[2 * k] = x0 + t * size * dx - off * dy;
    out[2 * k + 1] = y0 + t * size * dy + off * dx;
  }
  return out;
}

/** Where two lines (x y pairs) first cross. */
function crossing(a: Points2, b: Points2): Pair | undefined {
  const last = a.length / 2 - 2;
  const other = b.length / 2 - 2;
  for (let sum = 0; sum <= last + other; sum++) {
    for (let i = Math.max(0, sum - other); i <= Math.min(sum, last); i++) {
      const share = crossShare(a, 2 * i, b, 2 * (sum - i));
      if (share < 0) continue;
      return [
        a[2 * i] + share * (a[2 * i + 2] - a[2 * i]),
        a[2 * i + 1] + share * (a[2 * i + 3] - a[2 * i + 1]),
      ];
    }
  }
  return undefined;
}

/** The share of the way along one stretch of a line at which one of another crosses it; −1 where it does not. */
function crossShare(a: Points2, i: number, b: Points2, j: number): number {
  const ux = a[i + 2] - a[i];
  const uy = a[i + 3] - a[i + 1];
  const vx = b[j + 2] - b[j];
  const vy = b[j + 3] - b[j + 1];
  const turn = ux * vy - uy * vx;
  if (Math.abs(turn) < 1e-9) return -1;
  const wx = b[j] - a[i];
  const wy = b[j + 1] - a[i + 1];
  const s = (wx * vy - wy * vx) / turn;
  const t = (wx * uy - wy * ux) / turn;
  return s >= 0 && s <= 1 && t >= 0 && t <= 1 ? s : -1;
}
