import { medianInPlace } from './median.ts';
import { NO_TWIN, type TriangleMesh, type Twins } from './types.ts';
import { twiceVectorArea } from './vectorArea.ts';

/** Volume between a mesh and the smooth surface that its vertices lie on, cubic units; positive where it bulges out. */
export interface FacetSag {
  readonly whole: number;
  /** Of what lies above z = 0. */
  readonly above: number;
  /** Of hollows alone, where the surface lies below the mesh, as a positive number; noise is in it. */
  readonly hollow: number;
  /** The same of patches of the faces that are hollow by their median edge; `noise` is what share of the noise of single edges is left in it. */
  readonly patches: { readonly hollow: number; readonly noise: number };
  /** By height along y: of each of even layers from `from` to `to`. */
  readonly layers: Float64Array;
  readonly from: number;
  readonly to: number;
}

/** What facets are judged by, in the unit of the mesh. */
export interface Facets {
  /** Side of a patch within which noise cancels: a few edges. */
  readonly patch: number;
  /** Standard deviation of the noise of vertices, square to the surface. */
  readonly noise: number;
}

/** Faces that turn by more than this across an edge meet in a crease, whose two sides do not bend. */
const CREASE = Math.PI / 3;
/** A lesser turn than this is no crease; of a crease that runs along edges, the next edges turn by less than this share. */
const LEAST_CREASE = 0.1;
const ALONE = 0.1;
/** Noise of σ turns an edge by this times σ·√(1/h² + 1/k²), h and k being its triangles' heights: all four vertices of even ones. */
const NOISY_TURN = Math.SQRT2;
/** A crease turns by more than so many of these standard deviations, and the next edges by less than so many. */
const [BEYOND_NOISE, BESIDE_NOISE] = [4, 2.5];
/** Of edges whose noise is independent, this share of a median's error is left: those of one vertex turn to opposite sides (on even meshes). */
const OPPOSED = 0.6;
/** More edges than this say no more about how a surface bends. */
const MOST_EDGES = 300_000;
/** More patches than this are not kept. */
const MOST_PATCHES = 100_000;

/**
 * What flat triangles cut off a surface that bends. Across an edge of length l the surface turns by the angle θ between
 * its triangles, of heights h and k over the edge; spread over them, that bend stands above them by θ·l·(h² − hk + k²)/12 in
 * volume (the mean of a quadratic less its linear interpolant). Exact in the mean for smooth surfaces and for creases of less than
 * 60° that lie anyhow to the edges; of a crease that runs along them nothing is cut off. Noise turns edges as often in as
 * out, and cancels.
 */
export function facetSag(
  mesh: TriangleMesh,
  twins: Twins,
  layers: number,
  { patch, noise }: Facets,
): FacetSag {
  const { positions: p, triangles } = mesh;
  let from = Infinity;
  let to = -Infinity;
  let left = Infinity;
  let right = -Infinity;
  for (let i = 1; i < p.length; i += 3) {
    if (p[i] < from) from = p[i];
    if (p[i] > to) to = p[i];
    if (p[i - 1] < left) left = p[i - 1];
    if (p[i - 1] > right) right = p[i - 1];
  }
  const side = Math.max(patch, Math.sqrt(((right - left) * (to - from)) / MOST_PATCHES)) || 1;
  const columns = Math.floor((right - left) / side) + 1;
  const rows = Math.floor((to - from) / side) + 1;
  // Odd, so that all three sides of triangles have their turn.
  const stride = Math.max(1, Math.floor(triangles.length / 2 / MOST_EDGES)) | 1;
  const most = Math.ceil(triangles.length / stride);
  const volumes = new Float64Array(most);
  const patchOf = new Uint32Array(most);
  let count = 0;
  const out = new Float64Array(layers);
  const perLayer = layers / (to - from || 1);
  let whole = 0;
  let above = 0;
  let hollow = 0;
  const edges = new Edges(mesh, twins);
  for (let h = 0; h < triangles.length; h += stride) {
    const twin = twins[h];
    if (twin === NO_TWIN || twin < h) continue;
    const turn = edges.turn(h);
    if (turn === 0 || Math.abs(turn) > CREASE) continue;
    const one = edges.one[3];
    const other = edges.other[3];
    const volume = (turn * (one * one - one * other + other * other)) / edges.length / 12;
    // Before other edges are asked for.
    const up = edges.one[2] > 0;
    // Heights are twice the areas over the length.
    const byNoise = NOISY_TURN * noise * edges.length * Math.sqrt(1 / (one * one) + 1 / (other * other));
    if (
      Math.abs(turn) > Math.max(LEAST_CREASE, BEYOND_NOISE * byNoise) &&
      edges.isAlone(h, turn, BESIDE_NOISE * byNoise)
    )
      continue;
    const a = 3 * triangles[h];
    const b = 3 * triangles[h % 3 === 2 ? h - 2 : h + 1];
    whole += volume;
    if (volume < 0) hollow -= volume;
    if (p[a + 2] + p[b + 2] > 0) above += volume;
    const y = (p[a + 1] + p[b + 1]) / 2 - from;
    const place =
      Math.floor(y / side) * columns +
      Math.floor(((p[a] + p[b]) / 2 - left) / side) +
      (up ? 0 : columns * rows);
    volumes[count] = volume;
    patchOf[count++] = place;
    const layer = Math.floor(y * perLayer);
    out[Math.min(layers - 1, Math.max(0, layer))] += volume;
  }
  const { hollow: inPatches, noise: share } = hollowPatches(
    volumes.subarray(0, count),
    patchOf.subarray(0, count),
    2 * columns * rows,
  );
  const patches = { hollow: inPatches * stride, noise: share };
  return {
    whole: whole * stride,
    above: above * stride,
    hollow: hollow * stride,
    patches,
    layers: out.map((v) => v * stride),
    from,
    to,
  };
}

/**
 * What patches of the faces lack that are hollow by the median of their edges: of noise little is left in it, and creases between
 * hollows are the fewer edges.
 */
function hollowPatches(
  volumes: Float64Array,
  patchOf: Uint32Array,
  patches: number,
): { hollow: number; noise: number } {
  const start = new Uint32Array(patches + 1);
  for (const patch of patchOf) start[patch + 1]++;
  let roots = 0;
  for (let k = 0; k < patches; k++) {
    roots += Math.sqrt(start[k + 1]);
    start[k + 1] += start[k];
  }
  const next = start.slice();
  const ordered = new Float64Array(volumes.length);
  for (let i = 0; i < volumes.length; i++) ordered[next[patchOf[i]]++] = volumes[i];
  let hollow = 0;
  for (let k = 0; k < patches; k++) {
    const count = start[k + 1] - start[k];
    if (count === 0) continue;
    const own = medianInPlace(ordered.subarray(start[k], start[k + 1]));
    if (own < 0) hollow -= count * own;
  }
  // A median of n normal errors is √(π/2n) times as far off as one of them.
  return {
    hollow,
    noise: volumes.length > 0 ? (OPPOSED * Math.sqrt(Math.PI / 2) * roots) / volumes.length : 0,
  };
}

/** How a mesh turns across its edges. */
class Edges {
  /** Unit normals of the two triangles of the edge last asked for, and twice their areas. */
  readonly one = new Float64Array(4);
  readonly other = new Float64Array(4);
  /** Length of that edge. */
  length = 0;

  constructor(
    private readonly mesh: TriangleMesh,
    private readonly twins: Twins,
  ) {}

  /** Angle between the triangles of a half-edge, radians, positive where they bulge out; 0 where one has no area or is not there. */
  turn(h: number): number {
    const { positions: p, triangles } = this.mesh;
    const twin = this.twins[h];
    if (twin === NO_TWIN) return 0;
    const a = 3 * triangles[h];
    const b = 3 * triangles[h % 3 === 2 ? h - 2 : h + 1];
    const ex = p[b] - p[a];
    const ey = p[b + 1] - p[a + 1];
    const ez = p[b + 2] - p[a + 2];
    const { one, other } = this;
    this.length = Math.sqrt(ex * ex + ey * ey + ez * ez);
    unitNormal(p, triangles, h, one);
    unitNormal(p, triangles, twin, other);
    if (!(this.length > 0 && one[3] > 0 && other[3] > 0)) return 0;
    const cosine = one[0] * other[0] + one[1] * other[1] + one[2] * other[2];
    const sine =
      ((one[1] * other[2] - one[2] * other[1]) * ex +
        (one[2] * other[0] - one[0] * other[2]) * ey +
        (one[0] * other[1] - one[1] * other[0]) * ez) /
      this.length;
    return Math.atan2(sine, cosine);
  }

  /** Whether the other edges of both triangles of a half-edge hardly turn, or by no more than noise does: it is a crease that the mesh has as it is. */
  isAlone(h: number, turn: number, byNoise: number): boolean {
    for (const side of [h, this.twins[h]]) {
      const t = side - (side % 3);
      for (let k = 1; k < 3; k++) {
        const beside = Math.abs(this.turn(t + ((side - t + k) % 3)));
        if (beside > Math.max(ALONE * Math.abs(turn), byNoise) && beside < CREASE) return false;
      }
    }
    return true;
  }
}

/** Unit normal of the triangle of a half-edge and twice its area, into `out`. */
function unitNormal(p: Float64Array, triangles: Uint32Array, h: number, out: Float64Array): void {
  twiceVectorArea(p, triangles, h - (h % 3), out);
  const twice = Math.sqrt(out[0] * out[0] + out[1] * out[1] + out[2] * out[2]);
  const scale = twice > 0 ? 1 / twice : 0;
  for (let k = 0; k < 3; k++) out[k] *= scale;
  out[3] = twice;
}
