import {
  boundaryVertices,
  keepLargest,
  next,
  type PlanMesh,
  previous,
  splitEdge,
  spokesOf,
  staysUpright,
  triangleGrid,
} from './planMesh.ts';
import { boundary, ontoZero, signChange } from './roots.ts';
import type { Stone } from './stone.ts';

/** How near to a vertex, as a share of the edge, a crossing pulls the vertex onto itself instead of cutting the edge. */
const SNAP = 0.4;

/** Triangles of one stone's plan; every boundary vertex lies on the margin to rounding. Both faces are built on it. */
export function planDomain(
  stone: Stone,
  box: { x0: number; y0: number; x1: number; y1: number },
  spacing: number,
): PlanMesh {
  const domain = cutOut(stone, triangleGrid(box, spacing));
  partTouching(domain, spacing);
  slideToCusps(domain, stone);
  refineMargin(domain, stone, spacing);
  splitBridges(domain);
  return domain;
}

function cutOut(stone: Stone, grid: PlanMesh): PlanMesh {
  const thickness = (x: number, y: number): number => stone.thickness(x, y);
  const value = grid.x.map((x, v) => thickness(x, grid.y[v]));
  snapToZero(grid, value, thickness);
  cutAtZero(grid, value, thickness);
  return keepLargest(grid, (t) => {
    const [a, b, c] = [grid.tri[3 * t], grid.tri[3 * t + 1], grid.tri[3 * t + 2]];
    if (value[a] < 0 || value[b] < 0 || value[c] < 0) return false;
    if (value[a] > 0 || value[b] > 0 || value[c] > 0) return true;
    const [x, y] = [grid.x, grid.y].map((r) => (r[a] + r[b] + r[c]) / 3);
    return thickness(x, y) > 0;
  });
}

/** Moves vertices that have a crossing near by onto it. A snapped vertex has value zero. */
function snapToZero(mesh: PlanMesh, value: number[], f: (x: number, y: number) => number): void {
  const nearest = new Float64Array(mesh.x.length).fill(SNAP);
  const toX = new Float64Array(mesh.x.length);
  const toY = new Float64Array(mesh.x.length);
  for (let h = 0; h < mesh.tri.length; h++) {
    const a = mesh.tri[h];
    const b = mesh.tri[next(h)];
    if (value[a] > 0 === value[b] > 0) continue;
    const dx = mesh.x[b] - mesh.x[a];
    const dy = mesh.y[b] - mesh.y[a];
    const t = signChange((s) => f(mesh.x[a] + s * dx, mesh.y[a] + s * dy), value[a]);
    for (const [v, share] of [
      [a, t],
      [b, 1 - t],
    ]) {
      if (share >= nearest[v]) continue;
      nearest[v] = share;
      toX[v] = mesh.x[a] + t * dx;
      toY[v] = mesh.y[a] + t * dy;
    }
  }
  for (let v = 0; v < nearest.length; v++) {
    if (nearest[v] >= SNAP) continue;
    mesh.x[v] = toX[v];
    mesh.y[v] = toY[v];
    value[v] = 0;
  }
}

function cutAtZero(mesh: PlanMesh, value: number[], f: (x: number, y: number) => number): void {
  for (let h = 0; h < mesh.tri.length; h++) {
    const a = mesh.tri[h];
    const b = mesh.tri[next(h)];
    if (value[a] * value[b] >= 0) continue;
    const dx = mesh.x[b] - mesh.x[a];
    const dy = mesh.y[b] - mesh.y[a];
    const t = signChange((s) => f(mesh.x[a] + s * dx, mesh.y[a] + s * dy), value[a]);
    splitEdge(mesh, h, mesh.x[a] + t * dx, mesh.y[a] + t * dy);
    value.push(0);
  }
}

/**
 * Where two stretches of margin come nearer than the grid can tell, they share a vertex. Each gets its own, drawn a trifle
 * into its own ground: a slit stays a slit.
 */
function partTouching(mesh: PlanMesh, spacing: number): void {
  const spokes = spokesOf(mesh);
  spokes.forEach((around, v) => {
    // A fan starts at the spoke whose edge has nothing to its right.
    const starts = around.filter((h) => mesh.twin[h] < 0);
    if (starts.length < 2) return;
    starts.forEach((start, i) => {
      const own = i === 0 ? v : mesh.x.push(mesh.x[v]) - 1;
      if (i > 0) mesh.y.push(mesh.y[v]);
      let [dx, dy] = [0, 0];
      for (let h = start; h >= 0; h = mesh.twin[previous(h)]) {
        mesh.tri[h] = own;
        dx += mesh.x[mesh.tri[next(h)]] - mesh.x[v];
        dy += mesh.y[mesh.tri[next(h)]] - mesh.y[v];
      }
      const length = Math.hypot(dx, dy) || 1;
      if (i > 0) {
        mesh.x[own] += (0.05 * spacing * dx) / length;
        mesh.y[own] += (0.05 * spacing * dy) / length;
      }
    });
  });
}

/** Where the surfaces that meet at the margin change, the margin has a cusp: its nearest vertex is put there. */
function slideToCusps(mesh: PlanMesh, stone: Stone): void {
  const done = new Uint8Array(mesh.x.length);
  const spokes = spokesOf(mesh);
  const name = (x: number, y: number): number => stone.label(0, x, y) * 8192 + stone.label(1, x, y);
  for (let h = 0; h < mesh.tri.length; h++) {
    if (mesh.twin[h] >= 0) continue;
    const a = mesh.tri[h];
    const b = mesh.tri[next(h)];
    const dx = mesh.x[b] - mesh.x[a];
    const dy = mesh.y[b] - mesh.y[a];
    const length = Math.hypot(dx, dy);
    const onMargin = (t: number): readonly [number, number] | null =>
      ontoZero(
        (x, y) => stone.thickness(x, y),
        mesh.x[a] + t * dx,
        mesh.y[a] + t * dy,
        dy / length,
        -dx / length,
        0.6 * length,
      );
    // A step back inward keeps both faces' labels clear of rounding at the margin itself.
    const nameAt = (t: number): number => {
      const [x, y] = onMargin(t) ?? [Number.NaN, Number.NaN];
      return Number.isNaN(x) ? -1 : name(x - (1e-4 * dy) / length, y + (1e-4 * dx) / length);
    };
    const first = nameAt(0.02);
    if (first === nameAt(0.98)) continue;
    const t = 0.02 + 0.96 * boundary((s) => nameAt(0.02 + 0.96 * s) === first, 16);
    const v = t < 0.5 ? a : b;
    const place = onMargin(t);
    if (done[v] || !place || !staysUpright(mesh, spokes[v], v, place[0], place[1], 0.25)) continue;
    [mesh.x[v], mesh.y[v]] = place;
    done[v] = 1;
  }
}

/** How far the margin may stand off a margin edge, mm. */
const SAG = 0.03;

/** Splits margin edges that are long in space or cut a bend short, their middles put back on the margin. */
function refineMargin(mesh: PlanMesh, stone: Stone, spacing: number): void {
  for (let pass = 0; pass < 5; pass++) {
    const count = mesh.tri.length;
    for (let h = 0; h < count; h++) {
      if (mesh.twin[h] >= 0) continue;
      const a = mesh.tri[h];
      const b = mesh.tri[next(h)];
      const dx = mesh.x[b] - mesh.x[a];
      const dy = mesh.y[b] - mesh.y[a];
      const rise = stone.height(0, mesh.x[b], mesh.y[b]) - stone.height(0, mesh.x[a], mesh.y[a]);
      const plan = Math.hypot(dx, dy);
      if (plan < 4 * SAG) continue;
      const middle = ontoZero(
        (px, py) => stone.thickness(px, py),
        mesh.x[a] + dx / 2,
        mesh.y[a] + dy / 2,
        dy / plan,
        -dx / plan,
        plan / 4,
      );
      if (!middle) continue;
      const sag = Math.hypot(middle[0] - mesh.x[a] - dx / 2, middle[1] - mesh.y[a] - dy / 2);
      if (sag > SAG || Math.hypot(plan, rise) >= 1.5 * spacing) splitEdge(mesh, h, ...middle);
    }
    if (mesh.tri.length === count) return;
  }
}

/** An inner edge between two margin vertices would be shared by both faces: its middle becomes an inner vertex. */
function splitBridges(mesh: PlanMesh): void {
  const rim = boundaryVertices(mesh);
  for (let h = 0; h < mesh.tri.length; h++) {
    const a = mesh.tri[h];
    const b = mesh.tri[next(h)];
    if (mesh.twin[h] < 0 || !rim[a] || !rim[b]) continue;
    splitEdge(mesh, h, (mesh.x[a] + mesh.x[b]) / 2, (mesh.y[a] + mesh.y[b]) / 2);
  }
}
