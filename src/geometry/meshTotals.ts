import type { TriangleMesh } from './types.ts';

export interface MeshTotals {
  /** By the divergence theorem: exact for a closed, outward mesh. Cubic units. */
  readonly volume: number;
  /** Sum of triangle areas. Square units. */
  readonly area: number;
  /**
   * Half the summed squared gradients of the corners' hat functions, each over its triangle. Noise of standard
   * deviation σ square to the surface adds σ² times this to the area, to second order.
   */
  readonly roughening: number;
}

export function meshTotals(mesh: TriangleMesh): MeshTotals {
  const { positions: p, triangles } = mesh;
  let volume = 0;
  let area = 0;
  let roughening = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t];
    const b = 3 * triangles[t + 1];
    const c = 3 * triangles[t + 2];
    const ux = p[b] - p[a];
    const uy = p[b + 1] - p[a + 1];
    const uz = p[b + 2] - p[a + 2];
    const vx = p[c] - p[a];
    const vy = p[c + 1] - p[a + 1];
    const vz = p[c + 2] - p[a + 2];
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    // Flux of (0, 0, z): the projected area times the mean height.
    volume += (nz * (p[a + 2] + p[b + 2] + p[c + 2])) / 6;
    const twice = Math.sqrt(nx * nx + ny * ny + nz * nz);
    area += twice / 2;
    if (twice > 0) {
      const uu = ux * ux + uy * uy + uz * uz;
      const vv = vx * vx + vy * vy + vz * vz;
      const uv = ux * vx + uy * vy + uz * vz;
      // Sum of squared edges / (4 · area); a gradient is the opposite edge over twice the area.
      roughening += (2 * (uu + vv - uv)) / (4 * twice);
    }
  }
  return { volume, area, roughening };
}
