import type { TriangleMesh } from './types.ts';

/** Volume of a closed mesh, and the part of it above a plane. */
export interface SplitVolume {
  readonly above: number;
  readonly whole: number;
}

/** Volume of a closed mesh above the plane z = level. */
export function volumeAbove(mesh: TriangleMesh, level: number): number {
  return splitVolume(mesh, level).above;
}

/**
 * The integrals of max(z − level, 0) and of z − level over every triangle's signed projection: the volume above the
 * plane z = level and the whole. Exact for a closed mesh; triangles across the plane are cut.
 */
export function splitVolume(mesh: TriangleMesh, level: number): SplitVolume {
  const { positions: p, triangles } = mesh;
  let above = 0;
  let whole = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t];
    const b = 3 * triangles[t + 1];
    const c = 3 * triangles[t + 2];
    const az = p[a + 2] - level;
    const bz = p[b + 2] - level;
    const cz = p[c + 2] - level;
    const area = ((p[b] - p[a]) * (p[c + 1] - p[a + 1]) - (p[c] - p[a]) * (p[b + 1] - p[a + 1])) / 2;
    const mean = (area * (az + bz + cz)) / 3;
    whole += mean;
    if (az > 0 && bz > 0 && cz > 0) above += mean;
    else if (az > 0 || bz > 0 || cz > 0) above += area * meanPositive(az, bz, cz);
  }
  return { above, whole };
}

/** Mean over a triangle of max(z, 0), z linear with the given corner values: one or two of them above 0. */
function meanPositive(a: number, b: number, c: number): number {
  const above = (a > 0 ? 1 : 0) + (b > 0 ? 1 : 0) + (c > 0 ? 1 : 0);
  // One corner on its own side: the part there is a triangle of share (v/(v−u))·(v/(v−w)) and mean v/3.
  if (above === 1) return a > 0 ? loneCorner(a, b, c) : b > 0 ? loneCorner(b, c, a) : loneCorner(c, a, b);
  const lone = a <= 0 ? loneCorner(a, b, c) : b <= 0 ? loneCorner(b, c, a) : loneCorner(c, a, b);
  return (a + b + c) / 3 - lone;
}

function loneCorner(v: number, u: number, w: number): number {
  if (v === 0) return 0;
  return ((v / (v - u)) * (v / (v - w)) * v) / 3;
}
