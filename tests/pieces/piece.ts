import type { Matrix4, TriangleMesh } from '../../src/geometry/types.ts';
import { createField, type FieldSpec, type Heights, type PieceField } from './field.ts';
import { type OutlineSpec, planPolygon } from './outlines.ts';
import { type PlanMesh, refineRing, scatter, splitEdges, triangulatePlan } from './planMesh.ts';
import { createRandom, permutation, type Random, randomRotation } from './random.ts';
import { createTruth, type PieceTruth, type Pose } from './truth.ts';

/** What a test piece is made of. Lengths in mm, angles in degrees. */
export interface PieceSpec extends FieldSpec {
  readonly outline: OutlineSpec;
  readonly seed: number;
  /** About how many triangles the scan has. Default 150 000. */
  readonly triangles?: number;
  /** Gaussian surface noise: along vertex normals, or alike in all directions. */
  readonly noise?: { readonly sigma: number; readonly direction: 'normal' | 'isotropic' };
  /** `random` (default): any turn, shift within ±200 mm. `design`: left as designed. */
  readonly pose?: 'random' | 'design';
  /** Scan units in a millimetre: 1 (default), 0.1 for cm, 1/25.4 for inches … */
  readonly unitsPerMm?: number;
  /** Mix the order of vertices and triangles. Default true. */
  readonly shuffle?: boolean;
}

export interface Piece {
  readonly spec: PieceSpec;
  /** Closed, outward, in scan units (mm unless `unitsPerMm` says otherwise), posed. */
  readonly mesh: TriangleMesh;
  readonly truth: PieceTruth;
  /** Scan → specimen frame (mm) under the `mirror` axis, column-major. */
  readonly toFrame: Matrix4;
  /** The analytic piece in its design frame. */
  readonly field: PieceField;
  readonly pose: Pose;
}

export function makePiece(spec: PieceSpec): Piece {
  const polygon = planPolygon(spec.outline, spec.seed);
  const field = createField(spec, polygon, spec.seed);
  const random = createRandom(spec.seed ^ 0x3c6ef372);
  const pose = makePose(spec, random);
  const clean = meshField(field, spec, random);
  const noisy = spec.noise ? withNoise(clean, spec.noise, random) : clean;
  const posed = withPose(noisy, pose);
  const mesh = (spec.shuffle ?? true) ? shuffled(posed, random) : posed;
  const truth = createTruth(field, spec.humps ?? [], pose);
  return {
    spec,
    mesh,
    truth,
    get toFrame() {
      return truth.axes.mirror.toFrame;
    },
    field,
    pose,
  };
}

function makePose(spec: PieceSpec, random: Random): Pose {
  const unitsPerMm = spec.unitsPerMm ?? 1;
  if (spec.pose === 'design') return { rotation: [1, 0, 0, 0, 1, 0, 0, 0, 1], shift: [0, 0, 0], unitsPerMm };
  const rotation = randomRotation(random);
  return {
    rotation,
    shift: [random.between(-200, 200), random.between(-200, 200), random.between(-200, 200)],
    unitsPerMm,
  };
}

/** Two sheets of points, one to each face, sewn together along the margin. */
function meshField(field: PieceField, spec: PieceSpec, random: Random): TriangleMesh {
  const { ring, sheets } = planSheets(field, spec, random);
  const h: Heights = { margin: 0, a: 0, b: 0, psi: 0 };
  const n = ring.length / 2;
  const [a, b] = sheets;
  const countA = a.points.length / 2 - n;
  const countB = b.points.length / 2 - n;
  const positions = new Float64Array(3 * (n + countA + countB));
  for (let i = 0; i < n; i++) {
    const [x, y] = [ring[2 * i], ring[2 * i + 1]];
    positions.set([x, y, field.margin(x, y)], 3 * i);
  }
  const place = (sheet: PlanMesh, first: number, count: number, face: 'a' | 'b') => {
    for (let i = 0; i < count; i++) {
      const [x, y] = [sheet.points[2 * (n + i)], sheet.points[2 * (n + i) + 1]];
      field.heights(x, y, h);
      if (!(h.a + h.b > 0)) throw new Error(`the faces of a test piece cross at (${x}, ${y})`);
      positions.set([x, y, face === 'a' ? h.margin + h.a : h.margin - h.b], 3 * (first + i));
    }
  };
  place(a, n, countA, 'a');
  place(b, n + countA, countB, 'b');
  const triangles = new Uint32Array(a.triangles.length + b.triangles.length);
  triangles.set(a.triangles);
  for (let t = 0; t < b.triangles.length; t += 3) {
    const corner = (k: number) => (b.triangles[t + k] < n ? b.triangles[t + k] : b.triangles[t + k] + countA);
    // Face B is seen from below: its triangles run the other way.
    triangles.set([corner(0), corner(2), corner(1)], a.triangles.length + t);
  }
  return { positions, triangles };
}

/** One ring for both faces; each face has its own points inside. Ring edges that Delaunay refuses are halved. */
function planSheets(
  field: PieceField,
  spec: PieceSpec,
  random: Random,
): { ring: Float64Array; sheets: PlanMesh[] } {
  const polygon = field.polygon.points;
  const h: Heights = { margin: 0, a: 0, b: 0, psi: 0 };
  const { spacing, near } = spacings(polygon, (spec.triangles ?? 150_000) / 2);
  const coarse = coarsened(polygon, 1.4 * near);
  let ring = refineRing(coarse, 0.9 * near);
  const clearance = (x: number, y: number) => {
    field.heights(x, y, h);
    return h.psi;
  };
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

function withNoise(mesh: TriangleMesh, noise: NonNullable<PieceSpec['noise']>, random: Random): TriangleMesh {
  const positions = Float64Array.from(mesh.positions);
  if (noise.direction === 'isotropic') {
    // Each coordinate by σ, so that the surface itself moves by σ along its normal as well.
    for (let i = 0; i < positions.length; i++) positions[i] += noise.sigma * random.normal();
    return { positions, triangles: mesh.triangles };
  }
  const normals = vertexNormals(mesh);
  for (let v = 0; v < positions.length; v += 3) {
    const d = noise.sigma * random.normal();
    for (let k = 0; k < 3; k++) positions[v + k] += d * normals[v + k];
  }
  return { positions, triangles: mesh.triangles };
}

/** Area-weighted unit normals. */
export function vertexNormals({ positions: p, triangles }: TriangleMesh): Float64Array {
  const normals = new Float64Array(p.length);
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [3 * triangles[t], 3 * triangles[t + 1], 3 * triangles[t + 2]];
    const [ux, uy, uz] = [p[b] - p[a], p[b + 1] - p[a + 1], p[b + 2] - p[a + 2]];
    const [vx, vy, vz] = [p[c] - p[a], p[c + 1] - p[a + 1], p[c + 2] - p[a + 2]];
    const [nx, ny, nz] = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    for (const v of [a, b, c]) {
      normals[v] += nx;
      normals[v + 1] += ny;
      normals[v + 2] += nz;
    }
  }
  for (let v = 0; v < normals.length; v += 3) {
    const length = Math.hypot(normals[v], normals[v + 1], normals[v + 2]) || 1;
    for (let k = 0; k < 3; k++) normals[v + k] /= length;
  }
  return normals;
}

export function withPose(mesh: TriangleMesh, pose: Pose): TriangleMesh {
  const { rotation: r, shift, unitsPerMm } = pose;
  const p = mesh.positions;
  const positions = new Float64Array(p.length);
  for (let v = 0; v < p.length; v += 3) {
    for (let k = 0; k < 3; k++) {
      positions[v + k] =
        unitsPerMm * (r[3 * k] * p[v] + r[3 * k + 1] * p[v + 1] + r[3 * k + 2] * p[v + 2] + shift[k]);
    }
  }
  return { positions, triangles: mesh.triangles };
}

export function shuffled(mesh: TriangleMesh, random: Random): TriangleMesh {
  const vertices = mesh.positions.length / 3;
  const place = permutation(vertices, random);
  const positions = new Float64Array(mesh.positions.length);
  for (let v = 0; v < vertices; v++) {
    for (let k = 0; k < 3; k++) positions[3 * place[v] + k] = mesh.positions[3 * v + k];
  }
  const count = mesh.triangles.length / 3;
  const order = permutation(count, random);
  const triangles = new Uint32Array(mesh.triangles.length);
  for (let t = 0; t < count; t++) {
    const first = Math.floor(random.next() * 3);
    for (let k = 0; k < 3; k++)
      triangles[3 * order[t] + k] = place[mesh.triangles[3 * t + ((first + k) % 3)]];
  }
  return { positions, triangles };
}
