import Delaunator from 'delaunator';
import { bounds, createInside } from './polygonInside.ts';
import type { Random } from './random.ts';

/** Plan points of one face: the boundary first, shared by both faces, then the face's own points. */
export interface PlanMesh {
  /** x y pairs; the first `boundary` of them are the ring, counter-clockwise. */
  readonly points: Float64Array;
  readonly boundary: number;
  /** Counter-clockwise in plan. */
  readonly triangles: Uint32Array;
}

/**
 * Irregular points of about equal spacing inside a ring: hexagonal lattices at a random turn and shift, each point jittered
 * by up to 0.3 of the spacing. `clearance` tells how far a point is from the ring (it changes by at most about the way
 * gone); nearer than `band` the spacing is `nearSpacing`, further in it is `spacing`; nearer than `gap` none are put.
 */
export function scatter(
  ring: Float64Array,
  clearance: (x: number, y: number) => number,
  options: { spacing: number; nearSpacing: number; band: number; gap: number },
  random: Random,
): number[] {
  const { spacing, nearSpacing, band, gap } = options;
  const out: number[] = [];
  const inside = createInside(ring);
  const rough = roughClearance(ring, clearance, inside);
  lattice(ring, nearSpacing, random, (x, y) => {
    if (!inside(x, y) || rough(x, y) > band) return;
    const d = clearance(x, y);
    if (d > gap && d <= band) out.push(x, y);
  });
  lattice(ring, spacing, random, (x, y) => {
    if (!inside(x, y)) return;
    if (rough(x, y) > band || clearance(x, y) > band) out.push(x, y);
  });
  return out;
}

/** A lower bound of the clearance from a grid of samples: spares the exact one for most points. */
function roughClearance(
  ring: Float64Array,
  clearance: (x: number, y: number) => number,
  inside: (x: number, y: number) => boolean,
): (x: number, y: number) => number {
  const box = bounds(ring);
  const step = Math.min(box.x1 - box.x0, box.y1 - box.y0) / 40;
  const columns = Math.ceil((box.x1 - box.x0) / step) + 1;
  const rows = Math.ceil((box.y1 - box.y0) / step) + 1;
  const grid = new Float64Array(columns * rows);
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++) {
      const [x, y] = [box.x0 + i * step, box.y0 + j * step];
      grid[j * columns + i] = inside(x, y) ? clearance(x, y) : 0;
    }
  }
  return (x, y) => {
    const i = Math.round((x - box.x0) / step);
    const j = Math.round((y - box.y0) / step);
    return grid[j * columns + i] - step;
  };
}

/** Visits a jittered hexagonal lattice that covers the ring. */
function lattice(
  ring: Float64Array,
  step: number,
  random: Random,
  visit: (x: number, y: number) => void,
): void {
  const box = bounds(ring);
  const [cx, cy] = [(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2];
  const reach = Math.hypot(box.x1 - box.x0, box.y1 - box.y0) / 2 + step;
  const turn = random.between(0, Math.PI / 3);
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  const [sx, sy] = [random.next() * step, random.next() * step];
  const rise = (step * Math.sqrt(3)) / 2;
  for (let row = -Math.ceil(reach / rise); row * rise <= reach; row++) {
    for (let col = -Math.ceil(reach / step); col * step <= reach; col++) {
      const u = (col + (row & 1) / 2) * step + sx + random.between(-0.3, 0.3) * step;
      const v = row * rise + sy + random.between(-0.3, 0.3) * step;
      visit(cx + c * u - s * v, cy + s * u + c * v);
    }
  }
}

/**
 * Delaunay triangulation of the ring and the points inside it, cut off at the ring.
 * Returns the ring edges that the triangulation lacks instead of a mesh when there are any.
 */
export function triangulatePlan(
  ring: Float64Array,
  interior: readonly number[],
): PlanMesh | { missing: number[]; chords: number[] } {
  const count = ring.length / 2;
  const points = new Float64Array(ring.length + interior.length);
  points.set(ring);
  points.set(interior, ring.length);
  const { triangles, halfedges } = new Delaunator(points);
  // Delaunator's triangles run clockwise when y points up: reverse each by swapping two corners on output.
  const seeds: number[] = [];
  const wall = new Uint8Array(triangles.length);
  const found = new Uint8Array(count);
  for (let e = 0; e < triangles.length; e++) {
    const a = triangles[e];
    const b = triangles[e % 3 === 2 ? e - 2 : e + 1];
    if (a >= count || b >= count) continue;
    if (b === (a + 1) % count || a === (b + 1) % count) {
      wall[e] = 1;
      // A clockwise triangle has the interior of a counter-clockwise ring where its edge runs b → a.
      if (a === (b + 1) % count) {
        seeds.push(Math.floor(e / 3));
        found[b] = 1;
      }
    }
  }
  const missing: number[] = [];
  for (let i = 0; i < count; i++) if (!found[i]) missing.push(i);
  if (missing.length > 0) return { missing, chords: [] };
  const kept = flood(seeds, triangles.length / 3, wall, halfedges);
  const chords: number[] = [];
  for (let e = 0; e < triangles.length; e++) {
    const a = triangles[e];
    const b = triangles[e % 3 === 2 ? e - 2 : e + 1];
    if (a >= count || b >= count || a > b || wall[e] || !kept[Math.floor(e / 3)]) continue;
    chords.push((points[2 * a] + points[2 * b]) / 2, (points[2 * a + 1] + points[2 * b + 1]) / 2);
  }
  if (chords.length > 0) return { missing, chords };
  const out: number[] = [];
  for (let t = 0; t < kept.length; t++) {
    if (kept[t]) out.push(triangles[3 * t], triangles[3 * t + 2], triangles[3 * t + 1]);
  }
  return { points, boundary: count, triangles: Uint32Array.from(out) };
}

function flood(seeds: number[], count: number, wall: Uint8Array, halfedges: Int32Array): Uint8Array {
  const kept = new Uint8Array(count);
  const stack: number[] = [];
  for (const t of seeds) {
    if (!kept[t]) stack.push(t);
    kept[t] = 1;
  }
  while (stack.length > 0) {
    const t = stack.pop()!;
    for (let e = 3 * t; e < 3 * t + 3; e++) {
      const other = halfedges[e];
      if (wall[e] || other < 0) continue;
      const next = Math.floor(other / 3);
      if (!kept[next]) {
        kept[next] = 1;
        stack.push(next);
      }
    }
  }
  return kept;
}

/** Ring with each edge cut into equal parts no longer than `spacing`. Every old vertex stays. */
export function refineRing(ring: Float64Array, spacing: number): Float64Array {
  const n = ring.length / 2;
  const out: number[] = [];
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const [x0, y0, x1, y1] = [ring[2 * i], ring[2 * i + 1], ring[2 * j], ring[2 * j + 1]];
    const parts = Math.max(1, Math.ceil(Math.hypot(x1 - x0, y1 - y0) / spacing - 1e-9));
    for (let k = 0; k < parts; k++) out.push(x0 + ((x1 - x0) * k) / parts, y0 + ((y1 - y0) * k) / parts);
  }
  return Float64Array.from(out);
}

/** Ring with the midpoints of the given edges added. */
export function splitEdges(ring: Float64Array, edges: readonly number[]): Float64Array {
  const n = ring.length / 2;
  const split = new Set(edges);
  const out: number[] = [];
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    out.push(ring[2 * i], ring[2 * i + 1]);
    if (split.has(i)) out.push((ring[2 * i] + ring[2 * j]) / 2, (ring[2 * i + 1] + ring[2 * j + 1]) / 2);
  }
  return Float64Array.from(out);
}
