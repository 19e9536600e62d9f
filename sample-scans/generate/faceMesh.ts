import {
  boundaryVertices,
  cross,
  flipEdge,
  next,
  type PlanMesh,
  previous,
  splitEdge,
  spokesOf,
  staysUpright,
} from './planMesh.ts';
import { boundary } from './roots.ts';
import type { FaceId, Stone } from './stone.ts';

const SNAP = 0.36;
/** Longest edge in space, in spacings, before it is split. */
const LONG = 1.55;

/** A face's own triangulation: `z` in the face-up sense, `crease` marks vertices on an arris or a step's foot. */
interface Work {
  readonly mesh: PlanMesh;
  readonly z: number[];
  readonly label: number[];
  readonly crease: number[];
  readonly rim: Uint8Array;
  readonly height: (x: number, y: number) => number;
  readonly labelAt: (x: number, y: number) => number;
}

export interface FaceMesh {
  readonly mesh: PlanMesh;
  /** Height of each vertex in the face-up sense, mm. */
  readonly z: readonly number[];
}

/**
 * Fits the plan triangles to one face: vertices on its arrises, edges along them, steep ground refined, the rest evened out.
 * Margin vertices and edges stay as they are, so that the two faces still meet.
 */
export function faceMesh(stone: Stone, face: FaceId, domain: PlanMesh, spacing: number): FaceMesh {
  const mesh: PlanMesh = {
    x: [...domain.x],
    y: [...domain.y],
    tri: [...domain.tri],
    twin: [...domain.twin],
  };
  const height = (x: number, y: number): number => stone.height(face, x, y);
  const labelAt = (x: number, y: number): number => stone.label(face, x, y);
  const work: Work = {
    mesh,
    z: mesh.x.map((x, v) => height(x, mesh.y[v])),
    label: mesh.x.map((x, v) => labelAt(x, mesh.y[v])),
    crease: mesh.x.map(() => 0),
    rim: boundaryVertices(mesh),
    height,
    labelAt,
  };
  snapToCreases(work);
  cutAtCreases(work);
  refineSteep(work, spacing);
  for (let pass = 0; pass < 3; pass++) {
    turnEdges(work);
    evenOut(work);
  }
  turnEdges(work);
  return { mesh, z: work.z };
}

function crossing(w: Work, a: number, b: number): number {
  const { x, y } = w.mesh;
  const dx = x[b] - x[a];
  const dy = y[b] - y[a];
  return boundary((t) => w.labelAt(x[a] + t * dx, y[a] + t * dy) === w.label[a], 24);
}

function snapToCreases(w: Work): void {
  const { mesh } = w;
  const count = mesh.x.length;
  const nearest = new Float64Array(count).fill(SNAP);
  const toX = new Float64Array(count);
  const toY = new Float64Array(count);
  for (let h = 0; h < mesh.tri.length; h++) {
    const a = mesh.tri[h];
    const b = mesh.tri[next(h)];
    if (w.label[a] === w.label[b]) continue;
    const t = crossing(w, a, b);
    for (const [v, share] of [
      [a, t],
      [b, 1 - t],
    ]) {
      if (w.rim[v] || share >= nearest[v]) continue;
      nearest[v] = share;
      toX[v] = mesh.x[a] + t * (mesh.x[b] - mesh.x[a]);
      toY[v] = mesh.y[a] + t * (mesh.y[b] - mesh.y[a]);
    }
  }
  const spokes = spokesOf(mesh);
  for (let v = 0; v < count; v++) {
    if (nearest[v] < SNAP && staysUpright(mesh, spokes[v], v, toX[v], toY[v], 0.15)) {
      place(w, v, toX[v], toY[v], 1);
    }
  }
}

function place(w: Work, v: number, x: number, y: number, crease: number): void {
  w.mesh.x[v] = x;
  w.mesh.y[v] = y;
  w.z[v] = w.height(x, y);
  w.label[v] = w.labelAt(x, y);
  w.crease[v] = crease;
}

function cutAtCreases(w: Work): void {
  const { mesh } = w;
  for (let h = 0; h < mesh.tri.length; h++) {
    const a = mesh.tri[h];
    const b = mesh.tri[next(h)];
    if (mesh.twin[h] < 0 || w.crease[a] || w.crease[b] || w.label[a] === w.label[b]) continue;
    const t = crossing(w, a, b);
    if (t < 0.02 || t > 0.98) continue;
    place(
      w,
      splitEdge(mesh, h, 0, 0),
      mesh.x[a] + t * (mesh.x[b] - mesh.x[a]),
      mesh.y[a] + t * (mesh.y[b] - mesh.y[a]),
      1,
    );
  }
}

/** Which surface a triangle shows at its middle. */
function middleLabel(w: Work, h: number): number {
  const [a, b, c] = [w.mesh.tri[h], w.mesh.tri[next(h)], w.mesh.tri[previous(h)]];
  return w.labelAt(
    (w.mesh.x[a] + w.mesh.x[b] + w.mesh.x[c]) / 3,
    (w.mesh.y[a] + w.mesh.y[b] + w.mesh.y[c]) / 3,
  );
}

function isCrease(w: Work, h: number): boolean {
  const { tri, twin } = w.mesh;
  const tied = (v: number): boolean => w.crease[v] === 1 || w.rim[v] === 1;
  return tied(tri[h]) && tied(tri[next(h)]) && middleLabel(w, h) !== middleLabel(w, twin[h]);
}

function refineSteep(w: Work, spacing: number): void {
  const { mesh } = w;
  for (let pass = 0; pass < 4; pass++) {
    const count = mesh.tri.length;
    for (let h = 0; h < count; h++) {
      if (mesh.twin[h] < 0) continue;
      const a = mesh.tri[h];
      const b = mesh.tri[next(h)];
      if (distance(w, a, b) < LONG * spacing) continue;
      const [x, y, crease] = middleOf(w, h);
      place(w, splitEdge(mesh, h, x, y), x, y, crease);
    }
    if (mesh.tri.length === count) return;
  }
}

/** The middle of an edge; on a crease, put back onto it. */
function middleOf(w: Work, h: number): readonly [number, number, number] {
  const { mesh } = w;
  const a = mesh.tri[h];
  const b = mesh.tri[next(h)];
  const x = (mesh.x[a] + mesh.x[b]) / 2;
  const y = (mesh.y[a] + mesh.y[b]) / 2;
  if (!isCrease(w, h)) return [x, y, 0];
  const reach = 0.15;
  const nx = -(mesh.y[b] - mesh.y[a]) * reach;
  const ny = (mesh.x[b] - mesh.x[a]) * reach;
  const start = w.labelAt(x - nx, y - ny);
  if (start === w.labelAt(x + nx, y + ny)) return [x, y, 1];
  const t = 2 * boundary((s) => w.labelAt(x + (2 * s - 1) * nx, y + (2 * s - 1) * ny) === start, 24) - 1;
  return [x + t * nx, y + t * ny, 1];
}

function distance(w: Work, a: number, b: number): number {
  return Math.hypot(w.mesh.x[a] - w.mesh.x[b], w.mesh.y[a] - w.mesh.y[b], w.z[a] - w.z[b]);
}

/** Turns edges toward Delaunay in space (opposite angles sum to at most 180°), never across a crease. */
function turnEdges(w: Work): void {
  const { mesh } = w;
  const { tri, twin } = mesh;
  for (let pass = 0; pass < 4; pass++) {
    let turned = 0;
    for (let h = 0; h < tri.length; h++) {
      const g = twin[h];
      if (g < h) continue;
      const [a, b, c, d] = [tri[h], tri[next(h)], tri[previous(h)], tri[previous(g)]];
      if (cosine(w, c, a, b) + cosine(w, d, a, b) >= -1e-6) continue;
      if (w.rim[c] && w.rim[d]) continue;
      const whole = cross(mesh, a, d, c) + cross(mesh, b, c, d);
      if (cross(mesh, a, d, c) < 0.02 * whole || cross(mesh, b, c, d) < 0.02 * whole) continue;
      if (isCrease(w, h)) continue;
      flipEdge(mesh, h);
      turned++;
    }
    if (turned === 0) return;
  }
}

/** Cosine of the angle at `v` in the triangle v a b. cos γ + cos δ ≥ 0 means γ + δ ≤ 180°. */
function cosine(w: Work, v: number, a: number, b: number): number {
  const { x, y } = w.mesh;
  const [px, py, pz] = [x[a] - x[v], y[a] - y[v], w.z[a] - w.z[v]];
  const [qx, qy, qz] = [x[b] - x[v], y[b] - y[v], w.z[b] - w.z[v]];
  return (
    (px * qx + py * qy + pz * qz) /
    Math.sqrt((px * px + py * py + pz * pz) * (qx * qx + qy * qy + qz * qz) + 1e-30)
  );
}

/** Moves inner vertices that lie on no crease toward the middle of their neighbours. */
function evenOut(w: Work): void {
  const { mesh } = w;
  const count = mesh.x.length;
  const sumX = new Float64Array(count);
  const sumY = new Float64Array(count);
  const degree = new Float64Array(count);
  const spokes = spokesOf(mesh);
  for (let h = 0; h < mesh.tri.length; h++) {
    const a = mesh.tri[h];
    const b = mesh.tri[next(h)];
    const weight = distance(w, a, b);
    sumX[a] += weight * mesh.x[b];
    sumY[a] += weight * mesh.y[b];
    degree[a] += weight;
  }
  for (let v = 0; v < count; v++) {
    if (w.rim[v] || w.crease[v]) continue;
    const [x0, y0] = [mesh.x[v], mesh.y[v]];
    const x = x0 + 0.6 * (sumX[v] / degree[v] - x0);
    const y = y0 + 0.6 * (sumY[v] / degree[v] - y0);
    if (w.labelAt(x, y) !== w.label[v]) continue;
    if (!staysUpright(mesh, spokes[v], v, x, y, 0.4)) continue;
    mesh.x[v] = x;
    mesh.y[v] = y;
    w.z[v] = w.height(x, y);
  }
}
