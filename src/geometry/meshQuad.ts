/**
 * Whether a quad a b c d is better cut from a to c than from b to d: along the diagonal that does not fold it, and of two
 * such along the shorter. Arguments are vertex numbers.
 */
export function cutsFromFirst(p: Float64Array, a: number, b: number, c: number, d: number): boolean {
  const direct = bend(p, a, b, c, d);
  const across = bend(p, b, c, d, a);
  if (direct > 0 !== across > 0) return direct > 0;
  return squaredLength(p, a, c) <= squaredLength(p, b, d);
}

/** Product of the normals of triangles i j k and i k l: negative where the quad, cut from i to k, folds over. */
function bend(p: Float64Array, i: number, j: number, k: number, l: number): number {
  const o = 3 * i;
  const jx = p[3 * j] - p[o];
  const jy = p[3 * j + 1] - p[o + 1];
  const jz = p[3 * j + 2] - p[o + 2];
  const kx = p[3 * k] - p[o];
  const ky = p[3 * k + 1] - p[o + 1];
  const kz = p[3 * k + 2] - p[o + 2];
  const lx = p[3 * l] - p[o];
  const ly = p[3 * l + 1] - p[o + 1];
  const lz = p[3 * l + 2] - p[o + 2];
  return (
    (jy * kz - jz * ky) * (ky * lz - kz * ly) +
    (jz * kx - jx * kz) * (kz * lx - kx * lz) +
    (jx * ky - jy * kx) * (kx * ly - ky * lx)
  );
}

function squaredLength(p: Float64Array, i: number, j: number): number {
  return (p[3 * j] - p[3 * i]) ** 2 + (p[3 * j + 1] - p[3 * i + 1]) ** 2 + (p[3 * j + 2] - p[3 * i + 2]) ** 2;
}
