import { addQuadricSample } from './quadric.ts';
import { NO_TWIN, type TriangleMesh, type Twins } from './types.ts';
import { twiceVectorArea } from './vectorArea.ts';

/** Radii of the neighbourhoods tried, in mean edges. */
const RADII = [2.2, 3.4, 5];
const MOST_NEIGHBOURS = 160;
/** A fit is refused where its residual exceeds the noise by this factor: the surface is not smooth there. */
const RESIDUAL_LIMIT = 1.3;
/** How many rings of triangles to either side of the contour are calmed. */
const RINGS = 2;

/**
 * Takes vertex noise off a mesh in the band where its silhouette is made.
 *
 * A silhouette is an outermost envelope: on a blunt rim many vertices compete for it, and noise always wins outward.
 * Each vertex of the band is moved, along its local normal, onto a quadric fitted to its neighbours, as wide as the
 * surface stays smooth within the noise; beside a sharp edge no fit agrees with the noise and the vertex stays.
 * Returns new positions and a corner at each moved vertex; the mesh stays untouched.
 *
 * @param contour half-edges along the silhouette's contour; @param noise standard deviation of vertices.
 */
export function calmBand(
  mesh: TriangleMesh,
  twins: Twins,
  contour: Iterable<number>,
  noise: number,
  meanEdge: number,
): { readonly positions: Float64Array; readonly moved: readonly number[] } {
  const { positions, triangles } = mesh;
  const out = Float64Array.from(positions);
  const corners: number[] = [];
  const near = new Neighbourhood(mesh, twins);
  const fit = new QuadricFit();
  const band = bandCorners(mesh, twins, contour);
  for (let i = 0; i < band.length; i++) {
    const h = band[i];
    const moved = calmHeight(near, fit, positions, h, triangles[h], noise, meanEdge);
    if (moved === 0) continue;
    corners.push(h);
    const { normal } = near;
    const at = 3 * triangles[h];
    out[at] += moved * normal[0];
    out[at + 1] += moved * normal[1];
    out[at + 2] += moved * normal[2];
  }
  return { positions: out, moved: corners };
}

/** How far the vertex `v` of corner h is moved along its normal, which is left in `near`; 0 where it stays. */
function calmHeight(
  near: Neighbourhood,
  fit: QuadricFit,
  positions: Float64Array,
  h: number,
  v: number,
  noise: number,
  meanEdge: number,
): number {
  let count = near.within(h, RADII[0] * meanEdge);
  near.setNormal();
  let moved = 0;
  let low = -Infinity;
  let high = Infinity;
  let used = 0;
  let inner = -1;
  fit.start(near.normal, meanEdge);
  for (let r = 0; r < RADII.length; r++) {
    // Beside a sharp edge, where most vertices are, the least neighbourhood is refused: gather more only then.
    if (r === 1) {
      count = near.within(h, RADII[RADII.length - 1] * meanEdge);
      fit.start(near.normal, meanEdge);
      used = 0;
      inner = -1;
    }
    const outer = (RADII[r] * meanEdge) ** 2;
    for (let k = 0; k < count; k++) {
      const d = near.distanceSq[k];
      if (d <= inner || d > outer) continue;
      fit.add(positions, 3 * v, 3 * near.list[k]);
      used++;
    }
    inner = outer;
    if (used < 12) continue;
    if (!fit.solve() || fit.residual > RESIDUAL_LIMIT * noise) break;
    const reach = 2 * noise * Math.sqrt(fit.variance);
    low = Math.max(low, fit.height - reach);
    high = Math.min(high, fit.height + reach);
    if (low > high) break;
    moved = fit.height;
  }
  return moved;
}

/** One corner for each vertex within RINGS edges of the contour. */
function bandCorners(mesh: TriangleMesh, twins: Twins, contour: Iterable<number>): Int32Array {
  const { triangles } = mesh;
  const seen = new Uint8Array(mesh.positions.length / 3);
  const corners: number[] = [];
  for (const h of contour) takeCorner(h, triangles, seen, corners);
  let from = 0;
  for (let ring = 0; ring < RINGS; ring++) {
    const to = corners.length;
    for (; from < to; from++) takeAround(corners[from], triangles, twins, seen, corners);
  }
  return Int32Array.from(corners);
}

/** Lists a corner of a vertex that has none listed yet. */
function takeCorner(h: number, triangles: Uint32Array, seen: Uint8Array, corners: number[]): void {
  if (seen[triangles[h]] === 1) return;
  seen[triangles[h]] = 1;
  corners.push(h);
}

/** Lists the neighbours of the vertex of corner h, as far as the surface goes round one way. */
function takeAround(
  h: number,
  triangles: Uint32Array,
  twins: Twins,
  seen: Uint8Array,
  corners: number[],
): void {
  let g = h;
  for (let turn = 0; turn < 32; turn++) {
    takeCorner(g % 3 === 2 ? g - 2 : g + 1, triangles, seen, corners);
    const twin = twins[g % 3 === 0 ? g + 2 : g - 1];
    if (twin === NO_TWIN || twin === h) return;
    g = twin;
  }
}

/** Vertices near a vertex along the surface. */
class Neighbourhood {
  /** Ring by ring from the centre, which comes first. */
  readonly list = new Int32Array(MOST_NEIGHBOURS);
  readonly distanceSq = new Float64Array(MOST_NEIGHBOURS);
  /** Of unit length, as last set. */
  readonly normal = new Float64Array(3);
  private readonly mesh: TriangleMesh;
  private readonly twins: Twins;
  private readonly seen: Uint32Array;
  private readonly cornerOf = new Int32Array(MOST_NEIGHBOURS);
  private stamp = 0;
  private readonly one = new Float64Array(3);
  private readonly sum = new Float64Array(3);

  constructor(mesh: TriangleMesh, twins: Twins) {
    this.mesh = mesh;
    this.twins = twins;
    this.seen = new Uint32Array(mesh.positions.length / 3);
  }

  /** Fills `list` with the vertex of corner h and all within `radius` of it that the surface connects. */
  within(h: number, radius: number): number {
    const { positions: p, triangles } = this.mesh;
    const { twins, seen, list, cornerOf, distanceSq } = this;
    const stamp = ++this.stamp;
    const centre = 3 * triangles[h];
    const limit = radius * radius;
    list[0] = triangles[h];
    cornerOf[0] = h;
    distanceSq[0] = 0;
    seen[triangles[h]] = stamp;
    let count = 1;
    this.sum.fill(0);
    for (let k = 0; k < count; k++) {
      const first = cornerOf[k];
      let g = first;
      for (let turn = 0; turn < 32; turn++) {
        if (k < 8) this.addNormal(g);
        const nextCorner = g % 3 === 2 ? g - 2 : g + 1;
        const w = triangles[nextCorner];
        if (seen[w] !== stamp) {
          seen[w] = stamp;
          const dx = p[3 * w] - p[centre];
          const dy = p[3 * w + 1] - p[centre + 1];
          const dz = p[3 * w + 2] - p[centre + 2];
          const d = dx * dx + dy * dy + dz * dz;
          if (d <= limit && count < MOST_NEIGHBOURS) {
            list[count] = w;
            distanceSq[count] = d;
            cornerOf[count++] = nextCorner;
          }
        }
        const twin = twins[g % 3 === 0 ? g + 2 : g - 1];
        if (twin === NO_TWIN || twin === first) break;
        g = twin;
      }
    }
    return count;
  }

  /** Sets `normal` to the mean normal over the innermost triangles, weighted by area. */
  setNormal(): void {
    const { sum, normal } = this;
    const length = Math.hypot(sum[0], sum[1], sum[2]) || 1;
    normal[0] = sum[0] / length;
    normal[1] = sum[1] / length;
    normal[2] = sum[2] / length;
  }

  private addNormal(g: number): void {
    const { positions: p, triangles } = this.mesh;
    const { one } = this;
    twiceVectorArea(p, triangles, g - (g % 3), one);
    this.sum[0] += one[0];
    this.sum[1] += one[1];
    this.sum[2] += one[2];
  }
}

/** Least squares of height = a + b u + c v + d u² + e u v + f v² about a vertex, along a normal; points may be added. */
class QuadricFit {
  /** Of the fitted surface at the vertex, above the vertex. */
  height = 0;
  /** Root mean square of what the fit leaves, corrected for its six parameters. */
  residual = 0;
  /** Of `height`, in units of the noise variance. */
  variance = 0;
  private count = 0;
  private sumSq = 0;
  private unit = 1;
  private readonly axes = new Float64Array(9);
  private readonly normalMatrix = new Float64Array(36);
  private readonly rhs = new Float64Array(6);
  private readonly factored = new Float64Array(36);
  private readonly solution = new Float64Array(6);
  private readonly unitSolution = new Float64Array(6);

  start(n: Float64Array, unit: number): void {
    const k = Math.abs(n[0]) < 0.9 ? 1 : 0;
    // u = n × (k, 1 − k, 0), v = n × u
    const ux = -n[2] * (1 - k);
    const uy = n[2] * k;
    const uz = n[0] * (1 - k) - n[1] * k;
    const l = Math.hypot(ux, uy, uz);
    const a = this.axes;
    a[0] = ux / l;
    a[1] = uy / l;
    a[2] = uz / l;
    a[3] = n[1] * a[2] - n[2] * a[1];
    a[4] = n[2] * a[0] - n[0] * a[2];
    a[5] = n[0] * a[1] - n[1] * a[0];
    a[6] = n[0];
    a[7] = n[1];
    a[8] = n[2];
    this.unit = unit;
    this.count = 0;
    this.sumSq = 0;
    this.normalMatrix.fill(0);
    this.rhs.fill(0);
  }

  /** @param centre, @param at offsets of the first coordinate in `p`. */
  add(p: Float64Array, centre: number, at: number): void {
    const { axes: a, rhs, normalMatrix: m, unit } = this;
    const dx = p[at] - p[centre];
    const dy = p[at + 1] - p[centre + 1];
    const dz = p[at + 2] - p[centre + 2];
    const u = (dx * a[0] + dy * a[1] + dz * a[2]) / unit;
    const v = (dx * a[3] + dy * a[4] + dz * a[5]) / unit;
    const height = dx * a[6] + dy * a[7] + dz * a[8];
    addQuadricSample(m, rhs, u, v, height);
    this.sumSq += height * height;
    this.count++;
  }

  solve(): boolean {
    const { factored, solution, unitSolution, rhs } = this;
    factored.set(this.normalMatrix);
    if (!factor(factored)) return false;
    solution.set(rhs);
    substitute(factored, solution);
    unitSolution.fill(0);
    unitSolution[0] = 1;
    substitute(factored, unitSolution);
    this.height = solution[0];
    this.variance = unitSolution[0];
    let explained = 0;
    for (let i = 0; i < 6; i++) explained += solution[i] * rhs[i];
    this.residual = Math.sqrt(Math.max(0, this.sumSq - explained) / Math.max(1, this.count - 6));
    return true;
  }
}

/** Cholesky of a 6 × 6 matrix in its lower triangle, in place; false where it is singular. */
function factor(m: Float64Array): boolean {
  for (let j = 0; j < 6; j++) {
    let d = m[7 * j];
    for (let k = 0; k < j; k++) d -= m[6 * j + k] * m[6 * j + k];
    if (!(d > 1e-9)) return false;
    const root = Math.sqrt(d);
    m[7 * j] = root;
    for (let i = j + 1; i < 6; i++) {
      let s = m[6 * i + j];
      for (let k = 0; k < j; k++) s -= m[6 * i + k] * m[6 * j + k];
      m[6 * i + j] = s / root;
    }
  }
  return true;
}

function substitute(m: Float64Array, x: Float64Array): void {
  for (let i = 0; i < 6; i++) {
    let s = x[i];
    for (let k = 0; k < i; k++) s -= m[6 * i + k] * x[k];
    x[i] = s / m[7 * i];
  }
  for (let i = 5; i >= 0; i--) {
    let s = x[i];
    for (let k = i + 1; k < 6; k++) s -= m[6 * k + i] * x[k];
    x[i] = s / m[7 * i];
  }
}
