import type { TriangleMesh } from './types.ts';

/** Cells of the cube of directions along one side: about 4° each. */
const SIDE = 24;
/** How many of the commonest directions are looked into. */
const CANDIDATES = 6;
/** Cosine of the angle within which a triangle lies in a plane's direction: 3°. */
const ALIKE = Math.cos((3 * Math.PI) / 180);

/**
 * Share of a surface that lies in its one flattest stretch: triangles that face the same way to 3° and lie at the same
 * height to `tolerance`. Takes time in proportion to the size of the mesh.
 */
export function flatShare({ positions: p, triangles }: TriangleMesh, tolerance: number): number {
  const count = triangles.length / 3;
  const normals = new Float64Array(3 * count);
  const areas = new Float64Array(count);
  const bins = new Map<number, [number, number, number, number]>();
  let whole = 0;
  for (let t = 0; t < count; t++) {
    const [a, b, c] = [3 * triangles[3 * t], 3 * triangles[3 * t + 1], 3 * triangles[3 * t + 2]];
    const [ux, uy, uz] = [p[b] - p[a], p[b + 1] - p[a + 1], p[b + 2] - p[a + 2]];
    const [vx, vy, vz] = [p[c] - p[a], p[c + 1] - p[a + 1], p[c + 2] - p[a + 2]];
    const [x, y, z] = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    const size = Math.hypot(x, y, z);
    if (!(size > 0)) continue;
    normals.set([x / size, y / size, z / size], 3 * t);
    areas[t] = size / 2;
    whole += size / 2;
    const key = cell(x / size) + SIDE * (cell(y / size) + SIDE * cell(z / size));
    const bin = bins.get(key) ?? [0, 0, 0, 0];
    bin[0] += x / 2;
    bin[1] += y / 2;
    bin[2] += z / 2;
    bin[3] += size / 2;
    bins.set(key, bin);
  }
  if (!(whole > 0)) return 0;
  const commonest = [...bins.values()].sort((a, b) => b[3] - a[3]).slice(0, CANDIDATES);
  const shares = commonest.map(([x, y, z]) =>
    areaAtOneHeight(p, triangles, normals, areas, [x, y, z], tolerance),
  );
  return Math.max(...shares) / whole;
}

function cell(component: number): number {
  return Math.min(SIDE - 1, Math.floor(((component + 1) / 2) * SIDE));
}

/** Greatest area of triangles along a direction within any two neighbouring steps of height. */
function areaAtOneHeight(
  p: Float64Array,
  triangles: Uint32Array,
  normals: Float64Array,
  areas: Float64Array,
  [x, y, z]: readonly [number, number, number],
  tolerance: number,
): number {
  const size = Math.hypot(x, y, z);
  const [nx, ny, nz] = [x / size, y / size, z / size];
  const steps = new Map<number, number>();
  for (let t = 0; t < areas.length; t++) {
    if (nx * normals[3 * t] + ny * normals[3 * t + 1] + nz * normals[3 * t + 2] < ALIKE) continue;
    let height = 0;
    for (let k = 0; k < 3; k++) {
      const at = 3 * triangles[3 * t + k];
      height += (nx * p[at] + ny * p[at + 1] + nz * p[at + 2]) / 3;
    }
    const step = Math.floor(height / tolerance);
    steps.set(step, (steps.get(step) ?? 0) + areas[t]);
  }
  let most = 0;
  for (const [step, area] of steps) most = Math.max(most, area + (steps.get(step + 1) ?? 0));
  return most;
}
