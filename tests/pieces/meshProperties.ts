import type { TriangleMesh } from '../../src/geometry/types.ts';

/** Checks of a mesh by plain counting, independent of the program's own repair. */
export interface MeshProperties {
  /** Every edge is used exactly twice, once in each direction. */
  readonly closed: boolean;
  readonly eulerCharacteristic: number;
  /** Divergence theorem; positive when the triangles face outward. */
  readonly volume: number;
  readonly surface: number;
}

export function meshProperties({ positions: p, triangles }: TriangleMesh): MeshProperties {
  const vertices = p.length / 3;
  const directed = new Set<number>();
  let repeated = false;
  let [volume, surface] = [0, 0];
  // Volume about the first vertex: a posed piece stands far from the origin.
  const [ox, oy, oz] = [p[0], p[1], p[2]];
  for (let t = 0; t < triangles.length; t += 3) {
    for (let k = 0; k < 3; k++) {
      const key = triangles[t + k] * vertices + triangles[t + ((k + 1) % 3)];
      if (directed.has(key)) repeated = true;
      directed.add(key);
    }
    const [a, b, c] = [3 * triangles[t], 3 * triangles[t + 1], 3 * triangles[t + 2]];
    const [ux, uy, uz] = [p[b] - p[a], p[b + 1] - p[a + 1], p[b + 2] - p[a + 2]];
    const [vx, vy, vz] = [p[c] - p[a], p[c + 1] - p[a + 1], p[c + 2] - p[a + 2]];
    const [nx, ny, nz] = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    volume += ((p[a] - ox) * nx + (p[a + 1] - oy) * ny + (p[a + 2] - oz) * nz) / 6;
    surface += Math.sqrt(nx * nx + ny * ny + nz * nz) / 2;
  }
  let paired = !repeated;
  for (const key of directed) {
    const [from, to] = [Math.floor(key / vertices), key % vertices];
    if (!directed.has(to * vertices + from)) {
      paired = false;
      break;
    }
  }
  return {
    closed: paired,
    eulerCharacteristic: vertices - directed.size / 2 + triangles.length / 3,
    volume,
    surface,
  };
}
