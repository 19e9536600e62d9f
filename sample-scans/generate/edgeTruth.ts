import type { Points3 } from '../../src/geometry/types.ts';

/** y and z of a place on the margin, mm, and the way there from the place before it, in plan. */
type Place = readonly [y: number, z: number, step: number];

/**
 * How the margin winds up and down on each side, between stations 5 and 95, where the line is cut. mm. Every millimetre in
 * plan counts the same: where the margin climbs a break or a step it would count by its height otherwise.
 */
export function edgeTruth(ring: Points3, length: number): Record<string, number> {
  const values: Record<string, number> = {};
  for (const [side, pieces] of Object.entries(sidesOf(ring, length))) {
    const { rms, range } = residual(pieces);
    values[`edge.wander.${side}`] = rms;
    values[`edge.range.${side}`] = range;
  }
  return values;
}

/** A straight piece of the margin line. */
type Piece = readonly [from: Place, to: Place];

/**
 * What of the ring lies between stations 5 and 95, by sides. The ring runs counter-clockwise on Face A: from base to tip it
 * is on the right.
 */
function sidesOf(ring: Points3, length: number): { left: Piece[]; right: Piece[] } {
  const n = ring.length / 3;
  const y = (i: number): number => ring[3 * (i % n) + 1];
  let tip = 0;
  let base = 0;
  for (let i = 0; i < n; i++) {
    if (y(i) > y(tip)) tip = i;
    if (y(i) < y(base)) base = i;
  }
  const stretch = (from: number, to: number): Piece[] => {
    const pieces: Piece[] = [];
    for (let i = from; i % n !== to; i++) {
      const piece = cut(placeAt(ring, i % n, i % n), placeAt(ring, (i + 1) % n, i % n), length);
      if (piece !== null) pieces.push(piece);
    }
    return pieces;
  };
  return { left: stretch(tip, base), right: stretch(base, tip) };
}

function placeAt(ring: Points3, i: number, before: number): Place {
  const step = Math.hypot(ring[3 * i] - ring[3 * before], ring[3 * i + 1] - ring[3 * before + 1]);
  return [ring[3 * i + 1], ring[3 * i + 2], step];
}

/** The part of a piece between the stations; null where none is. */
function cut([y0, z0]: Place, [y1, z1, step]: Place, length: number): Piece | null {
  const [low, high] = [0.05 * length, 0.95 * length];
  if (Math.max(y0, y1) < low || Math.min(y0, y1) > high) return null;
  const along = (y: number): number => (y1 === y0 ? 0 : (Math.min(high, Math.max(low, y)) - y0) / (y1 - y0));
  const from = along(y0);
  const to = y1 === y0 ? 1 : along(y1);
  const at = (share: number): Place => [
    y0 + share * (y1 - y0),
    z0 + share * (z1 - z0),
    share === from ? 0 : (to - from) * step,
  ];
  return [at(from), at(to)];
}

/** RMS and range of z about its own least-squares line over y. Moments of straight pieces by Simpson's rule, which is exact. */
function residual(pieces: readonly Piece[]): { rms: number; range: number } {
  let [w, wy, wz, wyy, wyz] = [0, 0, 0, 0, 0];
  for (const piece of pieces) {
    for (const [y, z, weight] of simpson(piece)) {
      w += weight;
      wy += weight * y;
      wz += weight * z;
      wyy += weight * y * y;
      wyz += weight * y * z;
    }
  }
  const slope = (wyz - (wy * wz) / w) / (wyy - (wy * wy) / w);
  const level = (wz - slope * wy) / w;
  let [square, high, low] = [0, -Infinity, Infinity];
  for (const piece of pieces) {
    for (const [y, z, weight] of simpson(piece)) {
      const off = z - level - slope * y;
      square += weight * off * off;
      high = Math.max(high, off);
      low = Math.min(low, off);
    }
  }
  return { rms: Math.sqrt(square / w), range: high - low };
}

function simpson([[y0, z0], [y1, z1, step]]: Piece): Place[] {
  return [
    [y0, z0, step / 6],
    [(y0 + y1) / 2, (z0 + z1) / 2, (4 * step) / 6],
    [y1, z1, step / 6],
  ];
}
