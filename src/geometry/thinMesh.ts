import { MeshoptSimplifier } from 'meshoptimizer/simplifier';
import type { TriangleMesh } from './types.ts';

/** Which vertices and triangles of a mesh are kept for drawing. Nothing is measured on them. */
export interface Thinned {
  /** Index in the full mesh of each kept vertex. */
  readonly vertices: Uint32Array;
  /** 3 × kept triangles, indices into `vertices`. */
  readonly triangles: Uint32Array;
}

/** However far the kept surface strays, in shares of the mesh's size: what is drawn must not be too much to draw. */
const ANY_ERROR = 1;

/** At most about `limit` triangles; kept vertices stay where they are. A mesh within the limit is kept whole. */
export async function thinMesh(mesh: TriangleMesh, limit: number): Promise<Thinned> {
  const count = mesh.triangles.length / 3;
  let triangles: Uint32Array = Uint32Array.from(mesh.triangles);
  if (count > limit) {
    await MeshoptSimplifier.ready;
    const positions = Float32Array.from(mesh.positions);
    [triangles] = MeshoptSimplifier.simplifySloppy(triangles, positions, 3, null, 3 * limit, ANY_ERROR);
  }
  return compact(triangles, mesh.positions.length / 3);
}

/** Numbers the vertices anew in order of first use, in place in `triangles`. */
function compact(triangles: Uint32Array, numVertices: number): Thinned {
  const renamed = new Uint32Array(numVertices);
  const vertices = new Uint32Array(Math.min(numVertices, triangles.length));
  let kept = 0;
  for (let i = 0; i < triangles.length; i++) {
    const old = triangles[i];
    if (renamed[old] === 0) {
      vertices[kept++] = old;
      renamed[old] = kept;
    }
    triangles[i] = renamed[old] - 1;
  }
  return { vertices: vertices.slice(0, kept), triangles };
}
