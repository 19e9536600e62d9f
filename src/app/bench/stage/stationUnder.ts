/** A line of sight in the specimen frame, mm; `direction` away from the eye, of any length. */
export interface Sight {
  readonly from: readonly [x: number, y: number, z: number];
  readonly direction: readonly [x: number, y: number, z: number];
}

/** Along a line of sight that never leaves a slab, it is followed so far to either side of its start, in lengths of the piece. */
const FAR = 100;

/**
 * The station whose section a line of sight meets first, whole percent; null where it passes the piece by. The piece is
 * taken for the stack of its sections, each reaching half-way to the next: as fine as the sections that are shown, and in
 * any view a fraction of the triangles.
 * @param cuts loops at stations 1, 2 … 99, x z pairs, mm
 */
export function stationUnder(
  cuts: readonly (readonly Float32Array[])[],
  length: number,
  { from, direction }: Sight,
): number | null {
  const [, y] = from;
  const [dx, dy, dz] = direction;
  const step = length / (cuts.length + 1);
  const along = Math.hypot(dx, dy, dz);
  const isLevel = Math.abs(dy) < 1e-9 * along;
  const far = (FAR * length) / along;
  for (let i = 0; i < cuts.length; i++) {
    // From the end that is nearer to the eye.
    const k = dy > 0 ? i : cuts.length - 1 - i;
    const low = k === 0 ? 0 : (k + 0.5) * step;
    const high = k === cuts.length - 1 ? length : (k + 1.5) * step;
    if (isLevel && (y < low || y > high)) continue;
    const ends = isLevel ? [-far, far] : [(low - y) / dy, (high - y) / dy].sort((a, b) => a - b);
    const [x0, z0] = [from[0] + ends[0] * dx, from[2] + ends[0] * dz];
    const [x1, z1] = [from[0] + ends[1] * dx, from[2] + ends[1] * dz];
    if (meets(cuts[k], x0, z0, x1, z1)) return k + 1;
  }
  return null;
}

/** Does a segment begin within the loops (even-odd) or cross one of them? */
function meets(loops: readonly Float32Array[], x0: number, z0: number, x1: number, z1: number): boolean {
  let isInside = false;
  for (const loop of loops) {
    for (let i = 0, j = loop.length - 2; i < loop.length; j = i, i += 2) {
      const [ax, az, bx, bz] = [loop[j], loop[j + 1], loop[i], loop[i + 1]];
      if (az > z0 !== bz > z0 && x0 < ax + ((z0 - az) / (bz - az)) * (bx - ax)) isInside = !isInside;
      const a = (x1 - x0) * (az - z0) - (z1 - z0) * (ax - x0);
      const b = (x1 - x0) * (bz - z0) - (z1 - z0) * (bx - x0);
      if (a > 0 === b > 0) continue;
      const c = (bx - ax) * (z0 - az) - (bz - az) * (x0 - ax);
      const d = (bx - ax) * (z1 - az) - (bz - az) * (x1 - ax);
      if (c > 0 !== d > 0) return true;
    }
  }
  return isInside;
}
