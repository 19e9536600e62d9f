import { type Eigen3, symmetricEigen3, type Vector3 } from './symmetricEigen.ts';
import type { TriangleMesh } from './types.ts';

/** Area, centroid and principal directions of a surface, weighted by area so that uneven density does not matter. */
export interface SurfaceMoments {
  readonly area: number;
  readonly centroid: Vector3;
  /** Of the second central moments divided by area (mm²), ascending. */
  readonly principal: Eigen3;
}

/**
 * Exact moments of a triangulated surface: over a triangle with corners a, b, c the mean of p pᵀ is
 * (Σ v vᵀ + 9 m mᵀ) / 12 with m its centroid. Two passes keep far-off coordinates exact.
 */
export function surfaceMoments(mesh: TriangleMesh): SurfaceMoments {
  const { positions: p, triangles } = mesh;
  const ox = p[0];
  const oy = p[1];
  const oz = p[2];
  let area = 0;
  let sx = 0;
  let sy = 0;
  let sz = 0;
  let xx = 0;
  let xy = 0;
  let xz = 0;
  let yy = 0;
  let yz = 0;
  let zz = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t];
    const b = 3 * triangles[t + 1];
    const c = 3 * triangles[t + 2];
    const ax = p[a] - ox;
    const ay = p[a + 1] - oy;
    const az = p[a + 2] - oz;
    const bx = p[b] - ox;
    const by = p[b + 1] - oy;
    const bz = p[b + 2] - oz;
    const cx = p[c] - ox;
    const cy = p[c + 1] - oy;
    const cz = p[c + 2] - oz;
    const ux = bx - ax;
    const uy = by - ay;
    const uz = bz - az;
    const vx = cx - ax;
    const vy = cy - ay;
    const vz = cz - az;
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    const w = Math.sqrt(nx * nx + ny * ny + nz * nz) / 2;
    const mx = ax + bx + cx;
    const my = ay + by + cy;
    const mz = az + bz + cz;
    area += w;
    sx += (w * mx) / 3;
    sy += (w * my) / 3;
    sz += (w * mz) / 3;
    const k = w / 12;
    xx += k * (ax * ax + bx * bx + cx * cx + mx * mx);
    xy += k * (ax * ay + bx * by + cx * cy + mx * my);
    xz += k * (ax * az + bx * bz + cx * cz + mx * mz);
    yy += k * (ay * ay + by * by + cy * cy + my * my);
    yz += k * (ay * az + by * bz + cy * cz + my * mz);
    zz += k * (az * az + bz * bz + cz * cz + mz * mz);
  }
  const cx = sx / area;
  const cy = sy / area;
  const cz = sz / area;
  const principal = symmetricEigen3(
    xx / area - cx * cx,
    xy / area - cx * cy,
    xz / area - cx * cz,
    yy / area - cy * cy,
    yz / area - cy * cz,
    zz / area - cz * cz,
  );
  return { area, centroid: [cx + ox, cy + oy, cz + oz], principal };
}
