import type { Points3 } from '../../src/geometry/types.ts';

/** How the margin winds up and down on each side, between stations 5 and 95. mm. */
export function edgeTruth(ring: Points3, length: number): Record<string, number> {
  const values: Record<string, number> = {};
  for (const [side, points] of Object.entries(sidesOf(ring, length))) {
    const { rms, range } = residual(points);
    values[`edge.wander.${side}`] = rms;
    values[`edge.range.${side}`] = range;
  }
  return values;
}

/**
 * The two stretches of the ring between stations 5 and 95, as y and z. The ring runs counter-clockwise on Face A: from base
 * to tip it is on the right.
 */
function sidesOf(ring: Points3, length: number): { left: number[][]; right: number[][] } {
  const n = ring.length / 3;
  const y = (i: number): number => ring[3 * (i % n) + 1];
  let tip = 0;
  let base = 0;
  for (let i = 0; i < n; i++) {
    if (y(i) > y(tip)) tip = i;
    if (y(i) < y(base)) base = i;
  }
  const stretch = (from: number, to: number): number[][] => {
    const points: number[][] = [];
    for (let i = from; i % n !== to; i++) {
      if (y(i) < 0.05 * length || y(i) > 0.95 * length) continue;
      points.push([y(i), ring[3 * (i % n) + 2], stepAt(ring, i % n)]);
    }
    return points;
  };
  return { left: stretch(tip, base), right: stretch(base, tip) };
}

/** Length of line that a ring point stands for, mm. */
function stepAt(ring: Points3, i: number): number {
  const n = ring.length / 3;
  const before = 3 * ((i + n - 1) % n);
  const behind = 3 * ((i + 1) % n);
  const gap = (a: number): number =>
    Math.hypot(ring[3 * i] - ring[a], ring[3 * i + 1] - ring[a + 1], ring[3 * i + 2] - ring[a + 2]);
  return (gap(before) + gap(behind)) / 2;
}

/** RMS and range of z about its own least-squares line over y; points are [y, z, weight]. */
function residual(points: number[][]): { rms: number; range: number } {
  let [w, wy, wz, wyy, wyz] = [0, 0, 0, 0, 0];
  for (const [y, z, step] of points) {
    w += step;
    wy += step * y;
    wz += step * z;
    wyy += step * y * y;
    wyz += step * y * z;
  }
  const slope = (wyz - (wy * wz) / w) / (wyy - (wy * wy) / w);
  const level = (wz - slope * wy) / w;
  let [square, high, low] = [0, -Infinity, Infinity];
  for (const [y, z, step] of points) {
    const off = z - level - slope * y;
    square += step * off * off;
    high = Math.max(high, off);
    low = Math.min(low, off);
  }
  return { rms: Math.sqrt(square / w), range: high - low };
}
