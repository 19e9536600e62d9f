import { polygonMoments } from '../geometry/polygonMoments.ts';
import type { Points2 } from '../geometry/types.ts';
import { sharpTurns } from './photoLobes.ts';

/** A corner of a card turns by a right angle to within this (radians), however the camera leans. */
const SQUARE = 0.14;
/** Its sides depart from straight lines by no more than this share of their length and so many pixels (root of the mean square): knapped edges do. */
const [STRAIGHT, EVEN] = [0.0015, 0.5];
/** The side between the corners is so many pixels long at least, and at either corner the next one this share of it. */
const [LEAST_SIDE, BESIDE] = [40, 0.4];
/** What a corner's rounding and its blur take of a side, as a share of it, and pixels. */
const [ROUNDED, BLUR] = [0.03, 4];

/**
 * By point of a ring: how wide the card is that the ring runs round there, pixels; a label or a scale that touches the stone is drawn as part of it.
 * Three sides as straight as only what was cut has, that meet at two right angles, are a card's. Undefined where there are none. The ring: one
 * point about every pixel, either sense.
 */
export function cardAlong(ring: Points2): Float64Array | undefined {
  const n = ring.length / 2;
  const sense = Math.sign(polygonMoments([ring]).area);
  const corners = sharpTurns(ring, 1);
  let out: Float64Array | undefined;
  corners.forEach((from, k) => {
    const to = corners[(k + 1) % corners.length];
    const points = (to - from + n) % n;
    if (points < LEAST_SIDE || points > n / 2) return;
    const next = Math.ceil(BESIDE * points);
    const side = sideOf(ring, from, points);
    const before = sideOf(ring, from - next, next);
    const after = sideOf(ring, to, next);
    if (side === undefined || before === undefined || after === undefined) return;
    if (!isSquare(before, side, sense) || !isSquare(side, after, sense)) return;
    out ??= new Float64Array(n);
    for (let i = from - next; i <= to + next; i++) {
      const at = (i + n) % n;
      out[at] = Math.max(out[at], points);
    }
  });
  return out;
}

/** Direction of a straight stretch of a ring, a unit vector; undefined where it is not straight. */
function sideOf(ring: Points2, from: number, points: number): readonly [number, number] | undefined {
  const n = ring.length / 2;
  const cut = Math.ceil(Math.max(BLUR, ROUNDED * points));
  const [first, last] = [from + cut, from + points - cut];
  const count = last - first + 1;
  if (count < LEAST_SIDE / 4) return undefined;
  let [x, y, xx, xy, yy] = [0, 0, 0, 0, 0];
  for (let i = first; i <= last; i++) {
    const at = 2 * ((i + n) % n);
    const [u, v] = [ring[at], ring[at + 1]];
    x += u / count;
    y += v / count;
  }
  for (let i = first; i <= last; i++) {
    const at = 2 * ((i + n) % n);
    const [u, v] = [ring[at] - x, ring[at + 1] - y];
    xx += (u * u) / count;
    xy += (u * v) / count;
    yy += (v * v) / count;
  }
  const off = Math.sqrt(Math.max(0, (xx + yy) / 2 - Math.hypot((xx - yy) / 2, xy)));
  if (off > Math.max(EVEN, STRAIGHT * points)) return undefined;
  const angle = Math.atan2(2 * xy, xx - yy) / 2;
  const [a, b] = [2 * ((first + n) % n), 2 * ((last + n) % n)];
  const along = (ring[b] - ring[a]) * Math.cos(angle) + (ring[b + 1] - ring[a + 1]) * Math.sin(angle);
  return along >= 0 ? [Math.cos(angle), Math.sin(angle)] : [-Math.cos(angle), -Math.sin(angle)];
}

/** Whether one side turns into the next by a right angle, outward. */
function isSquare(
  [ax, ay]: readonly [number, number],
  [bx, by]: readonly [number, number],
  sense: number,
): boolean {
  return Math.abs(Math.atan2(sense * (ax * by - ay * bx), ax * bx + ay * by) - Math.PI / 2) < SQUARE;
}
