import type { Basis } from './basis.ts';
import { WALL } from './silhouette.ts';
import type { Points3, TriangleMesh } from './types.ts';
import { twiceVectorArea } from './vectorArea.ts';

/** A triangle belongs to a wall where its normal is this near to the plan. */
const WALL_SQ = Math.sin(WALL) ** 2;
/** Up to the first lean on the whole a rim is a wall; from the second on it is the edge of a steep face. Tangents of 8°, 15°. */
const UPRIGHT = Math.tan((8 * Math.PI) / 180);
const LEANING = Math.tan((15 * Math.PI) / 180);
/** The same for triangles that lean either way, as on a round flank, and more as in the edge between two steep faces: 14°, 20°. */
const ROUND = Math.tan((14 * Math.PI) / 180);
const EDGED = Math.tan((20 * Math.PI) / 180);

/**
 * Heights for a rim where it is no edge but a wall: the middle between the wall's upper and lower brink.
 *
 * Along a wall (a break, a slab's side, a cobble's flank) the outermost point is a matter of chance. For each point of
 * `ring` (in the coordinates of `basis`) the wall within `reach` in plan is measured; where it is taller than `least`
 * its middle replaces the height, fading in up to twice that. Points on a sharp edge keep their own, also where one of the
 * faces is steep or both are: triangles of a wall or a round flank stand upright on average, and none leans far.
 *
 * @param candidates triangles among which all walls are.
 * @returns the ring with those heights, and how far from them the wall reaches up and down at each point (0 on an edge)
 */
export function wallHeights(
  mesh: TriangleMesh,
  candidates: Uint32Array,
  basis: Basis,
  ring: Points3,
  reach: number,
  least: number,
): { readonly ring: Points3; readonly half: Float64Array } {
  const out = Float64Array.from(ring);
  const grid = new RimGrid(ring, reach);
  const n = ring.length / 3;
  const low = new Float64Array(n).fill(Infinity);
  const high = new Float64Array(n).fill(-Infinity);
  // Sum of the normals of the wall's triangles at each point, by area.
  const sum = new Float64Array(3 * n);
  const leans = new Float64Array(n);
  const half = new Float64Array(n);
  const normal: [number, number, number] = [0, 0, 0];
  eachWallVertex(mesh, candidates, basis, normal, (x, y, z) => {
    grid.eachNear(x, y, (i) => {
      if (z < low[i]) low[i] = z;
      if (z > high[i]) high[i] = z;
      for (let k = 0; k < 3; k++) sum[3 * i + k] += normal[k];
      leans[i] += Math.abs(normal[2]);
    });
  });
  for (let i = 0; i < n; i++) {
    const height = high[i] - low[i];
    if (!(height > least)) continue;
    const across = Math.hypot(sum[3 * i], sum[3 * i + 1]);
    const upright = Math.min(
      1,
      (LEANING - Math.abs(sum[3 * i + 2]) / across) / (LEANING - UPRIGHT),
      (EDGED - leans[i] / across) / (EDGED - ROUND),
    );
    if (!(upright > 0)) continue;
    const share = upright * Math.min(1, height / least - 1);
    out[3 * i + 2] += share * ((high[i] + low[i]) / 2 - ring[3 * i + 2]);
    half[i] = (share * height) / 2;
  }
  return { ring: out, half };
}

/** @param normal is set to that of the vertex's triangle, in the basis, twice as long as its area, before each call. */
function eachWallVertex(
  mesh: TriangleMesh,
  candidates: Uint32Array,
  basis: Basis,
  normal: [number, number, number],
  each: (x: number, y: number, z: number) => void,
): void {
  const { positions: p, triangles } = mesh;
  const { x, y, z } = basis;
  const own = new Float64Array(3);
  for (const candidate of candidates) {
    const t = 3 * candidate;
    twiceVectorArea(p, triangles, t, own);
    const nx = own[0];
    const ny = own[1];
    const nz = own[2];
    const along = nx * z[0] + ny * z[1] + nz * z[2];
    if (along * along > WALL_SQ * (nx * nx + ny * ny + nz * nz)) continue;
    normal[0] = nx * x[0] + ny * x[1] + nz * x[2];
    normal[1] = nx * y[0] + ny * y[1] + nz * y[2];
    normal[2] = along;
    for (let k = 0; k < 3; k++) {
      const v = 3 * triangles[t + k];
      const px = p[v];
      const py = p[v + 1];
      const pz = p[v + 2];
      each(
        x[0] * px + x[1] * py + x[2] * pz,
        y[0] * px + y[1] * py + y[2] * pz,
        z[0] * px + z[1] * py + z[2] * pz,
      );
    }
  }
}

/** Finds the points of a ring near a place in plan: a hash of square cells as wide as the reach. */
class RimGrid {
  private readonly cells = new Map<number, number[]>();
  private readonly ring: Points3;
  private readonly reach: number;

  constructor(ring: Points3, reach: number) {
    this.ring = ring;
    this.reach = reach;
    for (let i = 0; i < ring.length / 3; i++) {
      const key = this.key(Math.floor(ring[3 * i] / reach), Math.floor(ring[3 * i + 1] / reach));
      const cell = this.cells.get(key);
      if (cell === undefined) this.cells.set(key, [i]);
      else cell.push(i);
    }
  }

  eachNear(x: number, y: number, each: (i: number) => void): void {
    const column = Math.floor(x / this.reach);
    const row = Math.floor(y / this.reach);
    for (let r = row - 1; r <= row + 1; r++) {
      for (let c = column - 1; c <= column + 1; c++) {
        const cell = this.cells.get(this.key(c, r));
        if (cell === undefined) continue;
        for (const i of cell) {
          const dx = this.ring[3 * i] - x;
          const dy = this.ring[3 * i + 1] - y;
          if (dx * dx + dy * dy <= this.reach * this.reach) each(i);
        }
      }
    }
  }

  private key(column: number, row: number): number {
    return column * 4_000_037 + row;
  }
}
