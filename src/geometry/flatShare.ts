import type { TriangleMesh } from './types.ts';
import { twiceVectorArea } from './vectorArea.ts';

/** Cells of the cube of directions along one side: about 4° each. */
const SIDE = 24;
/** How many of the commonest directions are looked into. */
const CANDIDATES = 6;
/** Cosine of the angle within which a triangle lies in a plane's direction: 3°. */
const ALIKE = Math.cos((3 * Math.PI) / 180);

/** More triangles than this say no more about shares of the surface. */
const MOST_TRIANGLES = 200_000;

/** What triangles face, three numbers each, and their areas; 0 for one that has none. */
interface Facing {
  /** From each triangle to the next that is looked at. */
  readonly stride: number;
  readonly normals: Float64Array;
  readonly areas: Float64Array;
}

/**
 * Share of a surface that lies in its one flattest stretch: triangles that face the same way to 3° and lie at the same
 * height to `tolerance`. Of a large mesh, triangles at even steps of its list stand for the rest.
 */
export function flatShare(mesh: TriangleMesh, tolerance: number): number {
  const facing = facingOf(mesh);
  const { bins, whole } = binned(facing);
  if (!(whole > 0)) return 0;
  const commonest = Array.from({ length: SIDE ** 3 }, (_, bin) => bin)
    .filter((bin) => bins[4 * bin + 3] > 0)
    .sort((a, b) => bins[4 * b + 3] - bins[4 * a + 3])
    .slice(0, CANDIDATES);
  const directions = commonest.map((bin): Direction => {
    const [x, y, z] = bins.subarray(4 * bin, 4 * bin + 3);
    const size = Math.sqrt(x * x + y * y + z * z);
    return { nx: x / size, ny: y / size, nz: z / size, steps: new Map() };
  });
  sortByHeight(mesh, facing, directions, tolerance);
  return Math.max(...directions.map(({ steps }) => greatestPair(steps))) / whole;
}

/** A unit direction, and the area of the triangles along it by steps of their height. */
interface Direction {
  readonly nx: number;
  readonly ny: number;
  readonly nz: number;
  readonly steps: Map<number, number>;
}

function facingOf({ positions: p, triangles }: TriangleMesh): Facing {
  // Odd, so that both halves of cells cut in two have their turn.
  const stride = Math.max(1, Math.floor(triangles.length / 3 / MOST_TRIANGLES)) | 1;
  const count = Math.ceil(triangles.length / 3 / stride);
  const normals = new Float64Array(3 * count);
  const areas = new Float64Array(count);
  const facing = new Float64Array(3);
  for (let t = 0; t < count; t++) {
    twiceVectorArea(p, triangles, 3 * stride * t, facing);
    const x = facing[0];
    const y = facing[1];
    const z = facing[2];
    const size = Math.sqrt(x * x + y * y + z * z);
    if (!(size > 0)) continue;
    normals[3 * t] = x / size;
    normals[3 * t + 1] = y / size;
    normals[3 * t + 2] = z / size;
    areas[t] = size / 2;
  }
  return { stride, normals, areas };
}

/** Sums by cells of the cube of directions: normals times area (three numbers), and area. */
function binned({ normals, areas }: Facing): { bins: Float64Array; whole: number } {
  const bins = new Float64Array(4 * SIDE ** 3);
  let whole = 0;
  for (let t = 0; t < areas.length; t++) {
    const area = areas[t];
    if (area === 0) continue;
    const x = normals[3 * t];
    const y = normals[3 * t + 1];
    const z = normals[3 * t + 2];
    const bin = 4 * (cell(x) + SIDE * (cell(y) + SIDE * cell(z)));
    bins[bin] += x * area;
    bins[bin + 1] += y * area;
    bins[bin + 2] += z * area;
    bins[bin + 3] += area;
    whole += area;
  }
  return { bins, whole };
}

function cell(component: number): number {
  return Math.min(SIDE - 1, Math.floor(((component + 1) / 2) * SIDE));
}

/** All directions in one go: going through millions of normals takes longer than asking six times of each. */
function sortByHeight(
  { positions: p, triangles }: TriangleMesh,
  { stride, normals, areas }: Facing,
  directions: readonly Direction[],
  tolerance: number,
): void {
  for (let t = 0; t < areas.length; t++) {
    const x = normals[3 * t];
    const y = normals[3 * t + 1];
    const z = normals[3 * t + 2];
    for (let d = 0; d < directions.length; d++) {
      const { nx, ny, nz, steps } = directions[d];
      if (nx * x + ny * y + nz * z < ALIKE) continue;
      let height = 0;
      for (let k = 0; k < 3; k++) {
        const at = 3 * triangles[3 * stride * t + k];
        height += (nx * p[at] + ny * p[at + 1] + nz * p[at + 2]) / 3;
      }
      const step = Math.floor(height / tolerance);
      steps.set(step, (steps.get(step) ?? 0) + areas[t]);
    }
  }
}

/** Greatest area within any two neighbouring steps. */
function greatestPair(steps: ReadonlyMap<number, number>): number {
  let most = 0;
  for (const [step, area] of steps) most = Math.max(most, area + (steps.get(step + 1) ?? 0));
  return most;
}
