import { NO_TWIN, type TriangleMesh, type Twins } from './types.ts';
import { twiceVectorArea } from './vectorArea.ts';

export interface SurfaceNoise {
  /** Mean length of triangle edges over the sample. */
  readonly meanEdge: number;
  /** Standard deviation of vertex noise square to the surface. */
  readonly noise: number;
}

const SAMPLES = 20_000;

/**
 * Reads a surface's own noise off it: how far a vertex stands from the mean of its ring, less how far its neighbours do
 * (so that even curvature cancels), square to the local surface. The median keeps arrises and margins from counting.
 */
export function surfaceNoise(mesh: TriangleMesh, twins: Twins): SurfaceNoise {
  const { positions: p, triangles } = mesh;
  const numCorners = triangles.length;
  const stride = Math.max(1, Math.floor(numCorners / SAMPLES)) | 1;
  const stray = new RingStray(mesh, twins);
  const sizes: number[] = [];
  let edges = 0;
  let numEdges = 0;
  for (let h = 0; h < numCorners; h += stride) {
    edges += edgeLength(p, triangles, h);
    numEdges++;
    const size = stray.at(h);
    if (size >= 0) sizes.push(size);
  }
  const meanEdge = numEdges > 0 ? edges / numEdges : 0;
  if (sizes.length < 50) return { meanEdge, noise: 0 };
  const sorted = Float64Array.from(sizes).sort();
  // The lower part of the distribution: on worked stone, more vertices than not may lie near an arris.
  return { meanEdge, noise: sorted[sorted.length >> 1] / 0.6745 };
}

function edgeLength(p: Float64Array, triangles: Uint32Array, h: number): number {
  const v = triangles[h];
  const w = triangles[h % 3 === 2 ? h - 2 : h + 1];
  return Math.hypot(p[3 * w] - p[3 * v], p[3 * w + 1] - p[3 * v + 1], p[3 * w + 2] - p[3 * v + 2]);
}

/** How far vertices stray from their rings. */
class RingStray {
  private readonly mesh: TriangleMesh;
  private readonly twins: Twins;
  private readonly own = new Float64Array(3);
  private readonly other = new Float64Array(3);
  private readonly normal = new Float64Array(3);

  constructor(mesh: TriangleMesh, twins: Twins) {
    this.mesh = mesh;
    this.twins = twins;
  }

  /** Of the vertex of corner h, square to the surface, as one vertex's noise; −1 at a hole. */
  at(h: number): number {
    const { positions: p, triangles } = this.mesh;
    const { twins, own, other, normal: n } = this;
    const ring = ringOffset(p, triangles, twins, h, own);
    if (ring === 0) return -1;
    // Average of the neighbours' own offsets: the curvature that vertex and neighbours share.
    let ox = 0;
    let oy = 0;
    let oz = 0;
    let normSquared = (1 + 1 / ring) ** 2;
    let g = h;
    for (let k = 0; k < ring; k++) {
      const head = g % 3 === 2 ? g - 2 : g + 1;
      const count = ringOffset(p, triangles, twins, head, other);
      if (count === 0) return -1;
      ox += other[0] / ring;
      oy += other[1] / ring;
      oz += other[2] / ring;
      // Weight of a first neighbour in the filter: −1/ring (own ring) − 1/ring (its own offset) + 2/(ring·count).
      normSquared += (2 / ring - 2 / (ring * count)) ** 2 + 1 / (ring * count) ** 2;
      const twin = twins[g % 3 === 0 ? g + 2 : g - 1];
      if (twin === NO_TWIN) return -1;
      g = twin;
    }
    twiceVectorArea(p, triangles, h - (h % 3), n);
    const offset = (own[0] - ox) * n[0] + (own[1] - oy) * n[1] + (own[2] - oz) * n[2];
    return Math.abs(offset) / ((Math.hypot(n[0], n[1], n[2]) || 1) * Math.sqrt(normSquared));
  }
}

/** Vertex of corner h less the mean of its ring, into `out`; returns the ring's size, 0 at a hole. */
function ringOffset(
  p: Float64Array,
  triangles: Uint32Array,
  twins: Twins,
  h: number,
  out: Float64Array,
): number {
  let x = 0;
  let y = 0;
  let z = 0;
  let count = 0;
  let g = h;
  do {
    const head = 3 * triangles[g % 3 === 2 ? g - 2 : g + 1];
    x += p[head];
    y += p[head + 1];
    z += p[head + 2];
    count++;
    const twin = twins[g % 3 === 0 ? g + 2 : g - 1];
    if (twin === NO_TWIN || count > 64) return 0;
    g = twin;
  } while (g !== h);
  const v = 3 * triangles[h];
  out[0] = p[v] - x / count;
  out[1] = p[v + 1] - y / count;
  out[2] = p[v + 2] - z / count;
  return count;
}
