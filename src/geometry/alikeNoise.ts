import { fitQuadric } from './quadric.ts';
import { NO_TWIN, type TriangleMesh, type Twins } from './types.ts';
import { twiceVectorArea } from './vectorArea.ts';

/** Noise of a surface that neighbouring vertices share, as photogrammetry and smoothing leave it. In the mesh's unit. */
export interface AlikeNoise {
  readonly sigma: number;
  /** Length over which it is alike. */
  readonly reach: number;
}

/** What the faces tell of such noise. */
export interface FaceLikeness {
  readonly noise: AlikeNoise | undefined;
  /** Noise that neighbours share is no larger than this, wherever it is; Infinity where too few discs tell. */
  readonly most: number;
}

/** Radii of the discs, mm, or so many edges where these are longer: smooth worked faces bend by next to nothing in them. */
const NEAR = { mm: 1.5, edges: 4 };
const FAR = { mm: 2.2, edges: 6 };
/** Places looked at, how many of them are after a first look, and vertices of a disc at most that a quadric is fitted to. */
const PLACES = 160;
const FIRST_LOOK = 24;
const LEAST_PLACES = 60;
const LEAST_VERTICES = 24;
const MOST_VERTICES = 250;
/** Normals of a disc lie within this cosine of its middle's: no edge runs through it. */
const ONE_FACE = 0.7;
/** Places are so much of the surface apart, round and round: the golden ratio, in step with no order of triangles. */
const SPREAD = (Math.sqrt(5) - 1) / 2;
/** Of a first look: discs that must be whole, and the share of calm ones below which the calmest tells. */
const LEAST_SEEN = 8;
const CLEARLY_CALM = 0.3;
/** Shares of the places, by how little they stray. */
const [CALMEST, CALM] = [0.05, 0.25];
/**
 * Noise is everywhere, so that the calmest places stray by at least this share of calm ones; between arrises worked stone is
 * smooth somewhere. And it fills up as discs widen, where whatever bends grows by the third power (3.2) or more.
 */
const EVERYWHERE = 0.6;
const MOST_GROWTH = 2.2;
/** A quadric takes most of noise with it that is alike over as much as its disc: of waves as long as it twice over one part in so many is left. */
const SMOOTHED_AWAY = 10;
/** It must be so many times what each vertex errs by itself, and so much of an edge, to be told. */
const BEYOND_OWN = 1.5;
const LEAST_SHARE = 0.005;

/**
 * Looks for noise that neighbours share: how far vertices stray from quadrics over discs of two radii, less what each errs by
 * itself (`own`). No noise where there is none, or where the surface does not tell: it must be everywhere about the same, and
 * not grow with the disc as shape does. Over a larger disc it would be larger still, by as much again as from one to the other.
 */
export function alikeNoise(mesh: TriangleMesh, twins: Twins, own: number, meanEdge: number): FaceLikeness {
  const radius = ({ mm, edges }: typeof NEAR): number => Math.max(mm, edges * meanEdge);
  const strays = discStrays(mesh, twins, own, radius(NEAR), radius(FAR));
  const far = strays.far.length < LEAST_SEEN ? Infinity : shareOf(strays.far, CALM);
  const most = SMOOTHED_AWAY * Math.max(own, far);
  return { noise: everywhere(strays, far, own, meanEdge, radius(NEAR)), most };
}

function everywhere(
  strays: DiscStrays,
  far: number,
  own: number,
  meanEdge: number,
  reach: number,
): AlikeNoise | undefined {
  if (strays.far.length < LEAST_PLACES || strays.near.length < LEAST_PLACES) return undefined;
  if (shareOf(strays.far, CALMEST) < EVERYWHERE * far) return undefined;
  const beyond = (stray: number): number => Math.sqrt(Math.max(0, stray * stray - own * own));
  const wide = beyond(far);
  const narrow = beyond(shareOf(strays.near, CALM));
  if (!(wide > BEYOND_OWN * own && wide > LEAST_SHARE * meanEdge && narrow > 0)) return undefined;
  const growth = wide / narrow;
  if (growth > MOST_GROWTH) return undefined;
  return { sigma: wide * Math.max(1, growth), reach };
}

function shareOf(values: readonly number[], share: number): number {
  const sorted = Float64Array.from(values).sort();
  return sorted[Math.floor(share * (sorted.length - 1))];
}

/** Few surfaces share their noise: where some places are far calmer than others, or all as calm as vertices by themselves, no more are looked at. */
function isWorthALook(strays: readonly number[], own: number): boolean {
  if (strays.length < LEAST_SEEN) return true;
  const calm = shareOf(strays, CALM);
  return calm > BEYOND_OWN * own && Math.min(...strays) > CLEARLY_CALM * calm;
}

interface DiscStrays {
  readonly near: readonly number[];
  readonly far: readonly number[];
}

/** Root mean square of what quadrics leave over discs of two radii about the same places, one number for each disc on one face. */
function discStrays(
  { positions, triangles }: TriangleMesh,
  twins: Twins,
  own: number,
  near: number,
  far: number,
): DiscStrays {
  const out = { near: [] as number[], far: [] as number[] };
  const met = new Set<number>();
  const count = Math.min(PLACES, Math.floor(triangles.length / 3));
  for (let k = 0; k < count; k++) {
    if (k === FIRST_LOOK && !isWorthALook(out.far, own)) break;
    const h = Math.floor(((k * SPREAD) % 1) * triangles.length);
    met.clear();
    const disc = gatherDisc(positions, triangles, twins, h, far, met);
    if (disc === undefined) continue;
    const wide = strayOf(disc, Infinity);
    const narrow = strayOf(disc, near);
    if (wide !== undefined) out.far.push(wide);
    if (narrow !== undefined) out.near.push(narrow);
  }
  return out;
}

/**
 * Vertices within `radius` of that of corner h, along the surface: u v w of each, w along the surface's normal there.
 * Undefined where an edge or a hole is among them. Vertices on the way are kept in `met`.
 */
function gatherDisc(
  p: Float64Array,
  triangles: Uint32Array,
  twins: Twins,
  h: number,
  radius: number,
  met: Set<number>,
): Float64Array | undefined {
  const normal = new Float64Array(3);
  const other = new Float64Array(3);
  const size = unitNormal(p, triangles, h, normal);
  if (!(size > 0)) return undefined;
  const [nx, ny, nz] = normal;
  const a = Math.abs(nx) < 0.7 ? [0, nz, -ny] : [-nz, 0, nx];
  const scale = 1 / Math.hypot(a[0], a[1], a[2]);
  const [ux, uy, uz] = a.map((v) => v * scale);
  const [vx, vy, vz] = [ny * uz - nz * uy, nz * ux - nx * uz, nx * uy - ny * ux];
  const o = 3 * triangles[h];
  const disc: number[] = [];
  const waiting = [h];
  met.add(triangles[h]);
  while (waiting.length > 0) {
    const from = waiting.pop() as number;
    const v = 3 * triangles[from];
    const [dx, dy, dz] = [p[v] - p[o], p[v + 1] - p[o + 1], p[v + 2] - p[o + 2]];
    if (dx * dx + dy * dy + dz * dz > radius * radius) continue;
    disc.push(dx * ux + dy * uy + dz * uz, dx * vx + dy * vy + dz * vz, dx * nx + dy * ny + dz * nz);
    let g = from;
    do {
      unitNormal(p, triangles, g, other);
      if (other[0] * nx + other[1] * ny + other[2] * nz < ONE_FACE) return undefined;
      const head = g % 3 === 2 ? g - 2 : g + 1;
      if (!met.has(triangles[head])) {
        met.add(triangles[head]);
        waiting.push(head);
      }
      const twin = twins[g % 3 === 0 ? g + 2 : g - 1];
      if (twin === NO_TWIN) return undefined;
      g = twin;
    } while (g !== from);
  }
  return Float64Array.from(disc);
}

/** Root mean square of what a quadric leaves of those of a disc's vertices that lie within `radius` of its middle. */
function strayOf(disc: Float64Array, radius: number): number | undefined {
  const within: number[] = [];
  for (let i = 0; i < disc.length; i += 3) {
    if (disc[i] ** 2 + disc[i + 1] ** 2 + disc[i + 2] ** 2 <= radius * radius) within.push(i);
  }
  const step = Math.ceil(within.length / MOST_VERTICES);
  const kept = step > 1 ? within.filter((_, k) => k % step === 0) : within;
  if (kept.length < LEAST_VERTICES) return undefined;
  const samples = Float64Array.from(kept.flatMap((i) => [disc[i], disc[i + 1], disc[i + 2]]));
  const fit = fitQuadric(samples);
  return fit === undefined ? undefined : Math.sqrt(fit.squares / (kept.length - 6));
}

/** Unit normal of the triangle of a corner, into `out`; returns twice its area. */
function unitNormal(p: Float64Array, triangles: Uint32Array, h: number, out: Float64Array): number {
  twiceVectorArea(p, triangles, h - (h % 3), out);
  const twice = Math.hypot(out[0], out[1], out[2]);
  for (let k = 0; k < 3; k++) out[k] /= twice;
  return twice;
}
