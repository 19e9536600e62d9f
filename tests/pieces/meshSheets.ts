import type { Points2, TriangleMesh } from '../../src/geometry/types.ts';
import { type PlanMesh, scatter, splitEdges, triangulatePlan } from './planMesh.ts';
import type { Random } from './random.ts';
import { sewWall } from './wall.ts';

/** A round hole in one face of the scan. Design frame, mm. */
export interface HoleSpec {
  readonly face: 'A' | 'B';
  readonly x: number;
  readonly y: number;
  readonly radius: number;
}

/** A solid between two height fields over one plan. mm. */
export interface SheetSpec {
  /** Counter-clockwise, sampled as finely as the margin shall be. */
  readonly ring: Points2;
  /** Distance from a point inside to the ring, or something close to it. */
  readonly clearance: (x: number, y: number) => number;
  readonly top: (x: number, y: number) => number;
  readonly bottom: (x: number, y: number) => number;
  /** Height of the margin where both faces meet in one vertex of the ring; undefined where a wall stands. */
  readonly margin: (x: number, y: number) => number | undefined;
  readonly spacing: number;
  /** Spacing near the ring. */
  readonly near: number;
  readonly holes?: readonly HoleSpec[];
}

/**
 * Two sheets of points, one to each face, sewn together along the ring. Where the faces do not meet, an upright wall
 * stands between them. Closed and outward unless holes are asked for.
 */
export function meshSheets(spec: SheetSpec, random: Random): TriangleMesh {
  const { ring, sheets } = planSheets(spec, random);
  const positions: number[] = [];
  const triangles: number[] = [];
  const n = ring.length / 2;
  const vertex = (x: number, y: number, z: number) => {
    positions.push(x, y, z);
    return positions.length / 3 - 1;
  };
  const rimA: number[] = [];
  const rimB: number[] = [];
  for (let i = 0; i < n; i++) {
    const [x, y] = [ring[2 * i], ring[2 * i + 1]];
    const shared = spec.margin(x, y);
    rimA.push(vertex(x, y, shared ?? spec.top(x, y)));
    rimB.push(shared === undefined ? vertex(x, y, spec.bottom(x, y)) : rimA[i]);
  }
  const addSheet = (sheet: PlanMesh, rim: readonly number[], face: 'A' | 'B') => {
    const ids = [...rim];
    for (let i = n; i < sheet.points.length / 2; i++) {
      const [x, y] = [sheet.points[2 * i], sheet.points[2 * i + 1]];
      if (!(spec.top(x, y) > spec.bottom(x, y))) throw new Error(`the faces cross at (${x}, ${y})`);
      ids.push(vertex(x, y, face === 'A' ? spec.top(x, y) : spec.bottom(x, y)));
    }
    const holes = (spec.holes ?? []).filter((hole) => hole.face === face);
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
  sewWall({ rimA, rimB, positions, triangles, spacing: spec.spacing });
  return compact(positions, triangles);
}

/** One ring for both faces; each face has its own points inside. Ring edges that Delaunay refuses are halved. */
function planSheets(spec: SheetSpec, random: Random): { ring: Points2; sheets: PlanMesh[] } {
  const { spacing, near, clearance } = spec;
  let ring = spec.ring;
  const options = { spacing, nearSpacing: near, band: 3 * spacing, gap: 0.5 * near };
  const points = [scatter(ring, clearance, options, random), scatter(ring, clearance, options, random)];
  for (let round = 0; round < 12; round++) {
    const results = points.map((inner) => triangulatePlan(ring, inner));
    if (results.every((r) => 'triangles' in r)) return { ring, sheets: results };
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
