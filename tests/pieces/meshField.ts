import type { TriangleMesh } from '../../src/geometry/types.ts';
import type { Heights, PieceField } from './field.ts';
import { type PlanMesh, refineRing, scatter, splitEdges, triangulatePlan } from './planMesh.ts';
import type { Random } from './random.ts';
import { sewWall } from './wall.ts';

/** A round hole in one face of the scan. Design frame, mm. */
export interface HoleSpec {
  readonly face: 'A' | 'B';
  readonly x: number;
  readonly y: number;
  readonly radius: number;
}

/**
 * Two sheets of points, one to each face, sewn together along the margin. Where the piece is snapped the sheets part and
 * an upright wall stands between them.
 */
export function meshField(
  field: PieceField,
  options: { triangles: number; holes: readonly HoleSpec[] },
  random: Random,
): TriangleMesh {
  const { ring, onBreak, sheets, spacing } = planSheets(field, options.triangles, random);
  const positions: number[] = [];
  const triangles: number[] = [];
  const h: Heights = { margin: 0, a: 0, b: 0, psi: 0 };
  const n = ring.length / 2;
  const vertex = (x: number, y: number, face: 'A' | 'B' | 'margin') => {
    let z = field.margin(x, y);
    if (face !== 'margin') {
      field.heights(x, y, h);
      if (!(h.a + h.b > 0)) throw new Error(`the faces of a test piece cross at (${x}, ${y})`);
      z += face === 'A' ? h.a : -h.b;
    }
    positions.push(x, y, z);
    return positions.length / 3 - 1;
  };
  // Ring vertices on the break have one vertex on each face; all others are shared.
  const rimA: number[] = [];
  const rimB: number[] = [];
  for (let i = 0; i < n; i++) {
    const [x, y] = [ring[2 * i], ring[2 * i + 1]];
    rimA.push(vertex(x, y, onBreak(i) ? 'A' : 'margin'));
    rimB.push(onBreak(i) ? vertex(x, y, 'B') : rimA[i]);
  }
  const addSheet = (sheet: PlanMesh, rim: readonly number[], face: 'A' | 'B') => {
    const ids = [...rim];
    for (let i = n; i < sheet.points.length / 2; i++) {
      ids.push(vertex(sheet.points[2 * i], sheet.points[2 * i + 1], face));
    }
    const holes = options.holes.filter((hole) => hole.face === face);
    for (let t = 0; t < sheet.triangles.length; t += 3) {
      const [a, b, c] = sheet.triangles.subarray(t, t + 3);
      if (holes.some((hole) => inHole(hole, sheet.points, a, b, c))) continue;
      // Face B is seen from below: its triangles run the other way.
      if (face === 'A') triangles.push(ids[a], ids[b], ids[c]);
      else triangles.push(ids[a], ids[c], ids[b]);
    }
  };
  addSheet(sheets[0], rimA, 'A');
  addSheet(sheets[1], rimB, 'B');
  sewWall({ rimA, rimB, positions, triangles, spacing });
  return compact(positions, triangles);
}

function inHole(hole: HoleSpec, points: Float64Array, a: number, b: number, c: number): boolean {
  const x = (points[2 * a] + points[2 * b] + points[2 * c]) / 3 - hole.x;
  const y = (points[2 * a + 1] + points[2 * b + 1] + points[2 * c + 1]) / 3 - hole.y;
  return x * x + y * y < hole.radius * hole.radius;
}

/** Leaves out vertices that no triangle uses (those inside holes). */
function compact(positions: readonly number[], triangles: readonly number[]): TriangleMesh {
  const place = new Int32Array(positions.length / 3).fill(-1);
  const kept: number[] = [];
  const out = new Uint32Array(triangles.length);
  triangles.forEach((v, i) => {
    if (place[v] < 0) {
      place[v] = kept.length / 3;
      kept.push(positions[3 * v], positions[3 * v + 1], positions[3 * v + 2]);
    }
    out[i] = place[v];
  });
  return { positions: Float64Array.from(kept), triangles: out };
}

/** One ring for both faces; each face has its own points inside. Ring edges that Delaunay refuses are halved. */
function planSheets(
  field: PieceField,
  triangles: number,
  random: Random,
): { ring: Float64Array; onBreak: (i: number) => boolean; sheets: PlanMesh[]; spacing: number } {
  const polygon = field.domain.points;
  const { spacing, near } = spacings(polygon, triangles / 2);
  const clearance = (x: number, y: number) => Math.min(field.psi(x, y), field.breakDistance(x, y));
  let ring = refineRing(coarsened(polygon, 1.4 * near), 0.9 * near);
  const options = { spacing, nearSpacing: near, band: 3 * spacing, gap: 0.5 * near };
  const points = [scatter(ring, clearance, options, random), scatter(ring, clearance, options, random)];
  for (let round = 0; round < 12; round++) {
    const results = points.map((inner) => triangulatePlan(ring, inner));
    if (results.every((r) => 'triangles' in r)) {
      const final = ring;
      return {
        ring,
        onBreak: (i) => onBreak(field, final[2 * i], final[2 * i + 1]),
        sheets: results,
        spacing,
      };
    }
    results.forEach((r, k) => {
      if ('chords' in r) points[k].push(...r.chords);
    });
    ring = splitEdges(
      ring,
      results.flatMap((r) => ('missing' in r ? r.missing : [])),
    );
  }
  throw new Error('the margin of a test piece could not be triangulated');
}

/** On the break but not at its two ends, where both faces still meet. */
function onBreak(field: PieceField, x: number, y: number): boolean {
  const { points, break: range } = field.domain;
  if (range === undefined || field.breakDistance(x, y) > 1e-9) return false;
  return [range.from, range.to].every((i) => Math.hypot(points[2 * i] - x, points[2 * i + 1] - y) > 1e-9);
}

/** Spacing inside and near the margin so that one face gets about `triangles` triangles. mm. */
function spacings(polygon: Float64Array, triangles: number): { spacing: number; near: number } {
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
