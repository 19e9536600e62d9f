import { RING_POINTS } from './lean.ts';

/** `true`: as large as they are, laid on each other's centroids; `unit`: each divided by the square root of its area. */
export type OutlineSize = 'true' | 'unit';

/** The mean of many outlines and how far they spread about it, RING_POINTS points in the order of the rings. */
export interface MeanOutline {
  readonly n: number;
  /** x y pairs: mm at true size, shares of the square root of the area at unit size. */
  readonly mean: Float64Array;
  /** Standard deviation of each point square to the mean outline (n − 1), in the same unit; NaN for fewer than two. */
  readonly spread: Float64Array;
  /** The mean moved outward and inward by one `spread`. */
  readonly outer: Float64Array;
  readonly inner: Float64Array;
  /** Of each piece, in their order: root mean square of its points' distances square to the mean outline, in the same unit. */
  readonly distances: Float64Array;
}

/** The mean of the pieces `which` of a collection; their length axes are upright already, their centroids at 0. */
export function meanOutline(
  { rings, sizes }: { readonly rings: Float32Array; readonly sizes: Float64Array },
  which: ArrayLike<number>,
  size: OutlineSize,
): MeanOutline {
  const width = 2 * RING_POINTS;
  const n = which.length;
  const scale = (i: number): number => (size === 'unit' ? 1 / sizes[i] : 1);
  const mean = new Float64Array(width);
  for (let k = 0; k < n; k++) {
    const i = which[k];
    const s = scale(i) / n;
    for (let j = 0; j < width; j++) mean[j] += s * rings[i * width + j];
  }
  const normals = outward(mean);
  const squares = new Float64Array(RING_POINTS);
  const distances = new Float64Array(n);
  for (let k = 0; k < n; k++) {
    const i = which[k];
    const s = scale(i);
    for (let p = 0; p < RING_POINTS; p++) {
      const dx = s * rings[i * width + 2 * p] - mean[2 * p];
      const dy = s * rings[i * width + 2 * p + 1] - mean[2 * p + 1];
      const square = (dx * normals[2 * p] + dy * normals[2 * p + 1]) ** 2;
      squares[p] += square;
      distances[k] += square / RING_POINTS;
    }
    distances[k] = Math.sqrt(distances[k]);
  }
  const spread = squares.map((sum) => Math.sqrt(sum / (n - 1)));
  const moved = (by: number): Float64Array =>
    mean.map((v, j) => v + by * (n > 1 ? spread[j >> 1] : 0) * normals[j]);
  return { n, mean, spread: n > 1 ? spread : spread.fill(NaN), outer: moved(1), inner: moved(-1), distances };
}

/** Unit normals to the right of the way round: outward, for a ring that runs counter-clockwise. */
function outward(ring: Float64Array): Float64Array {
  const out = new Float64Array(ring.length);
  for (let p = 0; p < RING_POINTS; p++) {
    const before = (p + RING_POINTS - 1) % RING_POINTS;
    const after = (p + 1) % RING_POINTS;
    const tx = ring[2 * after] - ring[2 * before];
    const ty = ring[2 * after + 1] - ring[2 * before + 1];
    const length = Math.hypot(tx, ty) || 1;
    out[2 * p] = ty / length;
    out[2 * p + 1] = -tx / length;
  }
  return out;
}
