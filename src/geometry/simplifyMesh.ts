import { MeshoptSimplifier } from 'meshoptimizer/simplifier';
import { dropFolds } from './meshFolds.ts';
import { betweenRounds, LIMITS, type PartLimits } from './partLimits.ts';
import type { TriangleMesh } from './types.ts';

export interface Simplified {
  /** 3 × kept triangles, indices into the vertices that were given. */
  readonly triangles: Uint32Array;
  /** Quadric error of the worst collapse: about how far the surface was moved there, a mean over planes and no bound; the mesh's unit. */
  readonly moved: number;
}

let isReady = false;

/** Settles when it is known whether meshes can be simplified: the library is WebAssembly. Never rejects. */
export const simplifierReady: Promise<void> = MeshoptSimplifier.supported
  ? MeshoptSimplifier.ready.then(
      () => {
        isReady = true;
      },
      () => {},
    )
  : Promise.resolve();

/** Whether meshes can be simplified; not where a page's policy forbids WebAssembly. */
export const canSimplify = (): boolean => isReady;

/** However far the surface strays, in shares of the mesh's size: the number of triangles is what is asked for. */
const ANY_ERROR = 1;

/**
 * At most about `target` triangles: edges are collapsed where that moves the surface least (quadric error metric, Garland &
 * Heckbert 1997, as meshoptimizer does it), so that sharp edges and rims stay. Kept vertices stay where they are; no mean is
 * taken, and nothing is rounded off. Large meshes go through in slabs across their longest extent, which bounds the memory.
 *
 * Vertices must be welded and triangles have three different corners; the inputs stay untouched. Await `simplifierReady`
 * once before.
 */
export function simplifyMesh(
  mesh: TriangleMesh,
  target: number,
  step: (done: number) => void = () => {},
  limits: PartLimits = LIMITS,
): Simplified {
  const numTriangles = mesh.triangles.length / 3;
  if (numTriangles <= target) return asItIs(mesh);
  step(0);
  if (numTriangles <= limits.slab) return inOne(mesh, target);
  const between = betweenRounds(target, limits);
  const lastRound = between > target;
  const slabs =
    between < numTriangles ? inSlabs(mesh, between / numTriangles, limits.slab, step) : asItIs(mesh);
  if (!lastRound) return slabs;
  const last = inOne({ positions: mesh.positions, triangles: slabs.triangles }, target);
  return { triangles: last.triangles, moved: slabs.moved + last.moved };
}

function asItIs({ triangles }: TriangleMesh): Simplified {
  return { triangles, moved: 0 };
}

function inOne(mesh: TriangleMesh, target: number): Simplified {
  const scratch = new Uint32Array(mesh.positions.length / 3);
  return onePart(mesh, { size: mesh.triangles.length / 3 }, target, scratch);
}

/** Every slab by itself, its rim locked, to the same share of its triangles. */
function inSlabs(
  mesh: TriangleMesh,
  share: number,
  slabLimit: number,
  step: (done: number) => void,
): Simplified {
  const { slabOf, sizes } = dealIntoSlabs(mesh, slabLimit);
  const scratch = new Uint32Array(mesh.positions.length / 3);
  const parts = sizes.map((size, slab) => {
    step(slab / sizes.length);
    return onePart(mesh, { size, slab, slabOf }, Math.ceil(size * share), scratch);
  });
  const triangles = new Uint32Array(parts.reduce((sum, part) => sum + part.triangles.length, 0));
  let at = 0;
  for (const part of parts) {
    triangles.set(part.triangles, at);
    at += part.triangles.length;
  }
  return { triangles, moved: Math.max(...parts.map(({ moved }) => moved)) };
}

/** Which slab each triangle is in, by its first corner, and how many are in each: about `limit` at most. */
function dealIntoSlabs(
  { positions, triangles }: TriangleMesh,
  limit: number,
): { slabOf: Uint16Array; sizes: number[] } {
  const { axis, low, extent } = longestExtent(positions);
  const bins = new Uint32Array(4096);
  const binOf = (t: number): number =>
    Math.min(
      bins.length - 1,
      Math.floor(((positions[3 * triangles[3 * t] + axis] - low) / extent) * bins.length),
    );
  const numTriangles = triangles.length / 3;
  for (let t = 0; t < numTriangles; t++) bins[binOf(t)]++;
  const slabOfBin = new Uint16Array(bins.length);
  const sizes = [0];
  bins.forEach((count, bin) => {
    if (sizes[sizes.length - 1] > 0 && sizes[sizes.length - 1] + count > limit) sizes.push(0);
    sizes[sizes.length - 1] += count;
    slabOfBin[bin] = sizes.length - 1;
  });
  const slabOf = new Uint16Array(numTriangles);
  for (let t = 0; t < numTriangles; t++) slabOf[t] = slabOfBin[binOf(t)];
  return { slabOf, sizes };
}

function longestExtent(positions: Float64Array): { axis: number; low: number; extent: number } {
  let best = { axis: 0, low: 0, extent: 0 };
  for (let axis = 0; axis < 3; axis++) {
    let low = Infinity;
    let high = -Infinity;
    for (let i = axis; i < positions.length; i += 3) {
      low = Math.min(low, positions[i]);
      high = Math.max(high, positions[i]);
    }
    if (high - low > best.extent) best = { axis, low, extent: high - low };
  }
  return best;
}

/** Which triangles are meant, and how many they are: those of one slab, or all. */
interface Part {
  readonly size: number;
  readonly slab?: number;
  readonly slabOf?: Uint16Array;
}

/** A part simplified by itself; a slab keeps its rim, where the next one joins. `scratch` holds a zero for every vertex. */
function onePart(
  { positions, triangles }: TriangleMesh,
  { size, slab, slabOf }: Part,
  target: number,
  scratch: Uint32Array,
): Simplified {
  const corners = new Uint32Array(3 * size);
  const vertices = new Uint32Array(Math.min(3 * size, positions.length / 3));
  let numCorners = 0;
  let numVertices = 0;
  for (let t = 0; 3 * t < triangles.length; t++) {
    if (slabOf !== undefined && slabOf[t] !== slab) continue;
    for (let h = 3 * t; h < 3 * t + 3; h++) {
      const v = triangles[h];
      if (scratch[v] === 0) {
        vertices[numVertices++] = v;
        scratch[v] = numVertices;
      }
      corners[numCorners++] = scratch[v] - 1;
    }
  }
  const places = nearOrigin(positions, vertices.subarray(0, numVertices));
  const [kept, error] = MeshoptSimplifier.simplify(
    corners.subarray(0, numCorners),
    places,
    3,
    3 * target,
    ANY_ERROR,
    slab === undefined ? [] : ['LockBorder'],
  );
  const out = dropFolds(kept);
  for (let h = 0; h < out.length; h++) out[h] = vertices[out[h]];
  for (let k = 0; k < numVertices; k++) scratch[vertices[k]] = 0;
  return { triangles: out, moved: error * MeshoptSimplifier.getScale(places, 3) };
}

/** Places relative to the first of them: single precision is enough for a part, and not for a part far out. */
function nearOrigin(positions: Float64Array, vertices: Uint32Array): Float32Array {
  const out = new Float32Array(3 * vertices.length);
  const first = 3 * vertices[0];
  for (let k = 0; k < vertices.length; k++) {
    for (let axis = 0; axis < 3; axis++) {
      out[3 * k + axis] = positions[3 * vertices[k] + axis] - positions[first + axis];
    }
  }
  return out;
}
