import type { TriangleMesh } from '../../src/geometry/types.ts';
import { permutation, type Random, randomRotation } from './random.ts';

/** Gaussian surface noise: along vertex normals, or alike in all directions. */
export interface NoiseSpec {
  /** Standard deviation, mm: of the move along the normal, or of each coordinate. */
  readonly sigma: number;
  readonly direction: 'normal' | 'isotropic';
}

/** Where the design frame went: scan = scale · (R · design + shift). */
export interface Pose {
  /** Row-major 3 × 3. */
  readonly rotation: readonly number[];
  /** mm. */
  readonly shift: readonly [number, number, number];
  /** Scan units in a millimetre. */
  readonly unitsPerMm: number;
}

export function makePose(kind: 'random' | 'design', unitsPerMm: number, random: Random): Pose {
  if (kind === 'design') return { rotation: [1, 0, 0, 0, 1, 0, 0, 0, 1], shift: [0, 0, 0], unitsPerMm };
  const rotation = randomRotation(random);
  const shift = [random.between(-200, 200), random.between(-200, 200), random.between(-200, 200)] as const;
  return { rotation, shift, unitsPerMm };
}

export function withNoise(mesh: TriangleMesh, noise: NoiseSpec, random: Random): TriangleMesh {
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
