import type { TriangleMesh } from '../../src/geometry/types.ts';
import type { Heights, PieceField } from './field.ts';
import { type HoleSpec, meshSheets } from './meshSheets.ts';
import { refineRing } from './planMesh.ts';
import type { Random } from './random.ts';

/** The mesh of a piece in its design frame, with about the asked number of triangles. */
export function meshField(
  field: PieceField,
  options: { triangles: number; holes: readonly HoleSpec[] },
  random: Random,
): TriangleMesh {
  const polygon = field.domain.points;
  const { spacing, near } = spacings(polygon, options.triangles / 2);
  const h: Heights = { margin: 0, a: 0, b: 0, psi: 0 };
  let [lastX, lastY] = [Number.NaN, Number.NaN];
  /** Both faces of a point are asked for one after the other. */
  const heights = (x: number, y: number) => {
    if (x !== lastX || y !== lastY) field.heights(x, y, h);
    [lastX, lastY] = [x, y];
    return h;
  };
  return meshSheets(
    {
      ring: refineRing(coarsened(polygon, 1.4 * near), 0.9 * near),
      clearance: (x, y) => Math.min(field.psi(x, y), field.breakDistance(x, y)),
      top: (x, y) => heights(x, y).margin + heights(x, y).a,
      bottom: (x, y) => heights(x, y).margin - heights(x, y).b,
      margin: (x, y) => (onBreak(field, x, y) ? undefined : field.margin(x, y)),
      spacing,
      near,
      holes: options.holes,
    },
    random,
  );
}

/** On the break but not at its two ends, where both faces still meet. */
function onBreak(field: PieceField, x: number, y: number): boolean {
  const { points, break: range } = field.domain;
  if (range === undefined || field.breakDistance(x, y) > 1e-9) return false;
  return [range.from, range.to].every((i) => Math.hypot(points[2 * i] - x, points[2 * i + 1] - y) > 1e-9);
}

/** Spacing inside and near the margin so that one face gets about `triangles` triangles. mm. */
export function spacings(polygon: Float64Array, triangles: number): { spacing: number; near: number } {
  const n = polygon.length / 2;
  let [area, perimeter] = [0, 0];
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    area += (polygon[2 * i] * polygon[2 * j + 1] - polygon[2 * j] * polygon[2 * i + 1]) / 2;
    perimeter += Math.hypot(polygon[2 * j] - polygon[2 * i], polygon[2 * j + 1] - polygon[2 * i + 1]);
  }
  const finer = 0.8;
  let spacing = Math.sqrt((4 * area) / (Math.sqrt(3) * 0.5 * 4 * triangles)) * Math.SQRT2;
  for (let round = 0; round < 6; round++) {
    // A point stands for an area of √3/2·h² and two triangles.
    const band = Math.min(area, 3 * spacing * perimeter);
    const points = (band / (finer * finer) + area - band) / ((Math.sqrt(3) / 2) * spacing * spacing);
    spacing *= Math.sqrt((2 * points) / triangles);
  }
  return { spacing, near: finer * spacing };
}

/** A sparse scan samples the margin as sparsely as its faces: vertices are skipped until steps reach `spacing`. */
function coarsened(polygon: Float64Array, spacing: number): Float64Array {
  const n = polygon.length / 2;
  const out = [polygon[0], polygon[1]];
  for (let i = 1; i < n; i++) {
    const [x, y] = [polygon[2 * i], polygon[2 * i + 1]];
    const [px, py] = [polygon[2 * i - 2], polygon[2 * i - 1]];
    const j = (i + 1) % n;
    const turn = Math.abs(angleBetween(x - px, y - py, polygon[2 * j] - x, polygon[2 * j + 1] - y));
    const step = Math.hypot(x - out[out.length - 2], y - out[out.length - 1]);
    // Corners stay whatever the density.
    if (step > 0.5 * spacing || turn > 0.25) out.push(x, y);
  }
  return Float64Array.from(out);
}

function angleBetween(ax: number, ay: number, bx: number, by: number): number {
  return Math.atan2(ax * by - ay * bx, ax * bx + ay * by);
}
