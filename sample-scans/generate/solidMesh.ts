import { faceMesh } from './faceMesh.ts';
import { boundaryVertices, type PlanMesh } from './planMesh.ts';
import type { FaceId, Stone } from './stone.ts';

export interface Box {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
}

/** A closed mesh, outward; 3 × n coordinates in mm and 3 × m vertex indices. */
export interface SolidMesh {
  readonly positions: Float64Array;
  readonly triangles: Uint32Array;
}

/** Both faces over one plan, sewn together along the margin. */
export function solidMesh(stone: Stone, domain: PlanMesh, spacing: number): SolidMesh {
  const rim = boundaryVertices(domain);
  const positions: number[] = [];
  const triangles: number[] = [];
  const rimIndex = new Int32Array(domain.x.length).fill(-1);
  for (const face of [0, 1] as const) {
    const { mesh, z } = faceMesh(stone, face, domain, spacing);
    const index = mesh.x.map((x, v) => {
      if (v < rim.length && rim[v] && rimIndex[v] >= 0) return rimIndex[v];
      const at = positions.length / 3;
      if (v < rim.length && rim[v]) {
        rimIndex[v] = at;
        positions.push(x, mesh.y[v], (z[v] - stone.height(1, x, mesh.y[v])) / 2);
      } else positions.push(x, mesh.y[v], face === 0 ? z[v] : -z[v]);
      return at;
    });
    pushTriangles(triangles, mesh, index, face);
  }
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
}

function pushTriangles(out: number[], mesh: PlanMesh, index: number[], face: FaceId): void {
  for (let h = 0; h < mesh.tri.length; h += 3) {
    const [a, b, c] = [index[mesh.tri[h]], index[mesh.tri[h + 1]], index[mesh.tri[h + 2]]];
    if (face === 0) out.push(a, b, c);
    else out.push(a, c, b);
  }
}
