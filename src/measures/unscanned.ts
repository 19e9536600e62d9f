import { circularRuns } from '../geometry/closedCurve.ts';
import { NO_TWIN } from '../geometry/types.ts';
import { twiceVectorArea } from '../geometry/vectorArea.ts';
import type { Model, PointErrors, Surface } from '../trace/types.ts';
import { highestPoint } from './outlineTips.ts';

/** A stretch of the margin that is the rim of a hole, or the flat end that closed one. */
export interface UnscannedStretch {
  /** Points of the margin, in its order. */
  readonly points: readonly number[];
  /** How long it is, mm. */
  readonly length: number;
  /** How far the stone may reach beyond it at most, mm; 0 where that cannot be told. */
  readonly depth: number;
}

/** Faces that were cut off apart meet so many halves of that farther out, at a common edge angle of 60°. */
const CARRIED_ON = Math.sqrt(3);
/** Longer stretches, in shares of the margin, are no bites: what is missing there nobody can tell, and no number is put on it. */
const LONGEST_BITE = 0.1;
/** Triangles that closed a hole are a flat end across the faces where their normals rise from the plan by no more than this (sine). */
const END_ON = 0.5;

/**
 * Stretches of the margin that the scan does not show. Along a hole that is open the stone may reach out by half the
 * stretch's length, as a round bite would have it; where a hole was closed by a flat end, by as much as the faces would go on until
 * they meet. Where a hole was closed along the edge itself nothing is missing. None where the scan has no holes.
 */
export function unscannedMargin({ surface, margin, quality }: Model): UnscannedStretch[] {
  if (surface === undefined || margin === undefined) return [];
  const rim = openRims(surface);
  const caps = capHeights(surface, quality.meanEdge);
  if (rim.length === 0 && caps.size === 0) return [];
  const open = cellsAbout(surface.mesh.positions, rim, quality.meanEdge);
  const { points, arc, length } = margin;
  const n = arc.length;
  const stretches: UnscannedStretch[] = [];
  const cellAt = (k: number): string =>
    cellOf(points[3 * k], points[3 * k + 1], points[3 * k + 2], quality.meanEdge);
  const isOpen = Array.from({ length: n }, (_, k) => open.has(cellAt(k)));
  const ends = Float64Array.from({ length: n }, (_, k) =>
    halfHeight(caps, points[3 * k], points[3 * k + 1], quality.meanEdge),
  );
  const typical = length / n;
  for (const run of circularRuns(n, (k) => isOpen[k] || ends[k] > 0)) {
    const [first, last] = [run[0], run[run.length - 1]];
    const long = Math.max(typical, (arc[last] - arc[first] + length) % length);
    const isBite = long <= LONGEST_BITE * length;
    const depth = !isBite
      ? 0
      : run.some((k) => isOpen[k])
        ? long / 2
        : CARRIED_ON * Math.max(...run.map((k) => ends[k]));
    stretches.push({ points: run, length: long, depth });
  }
  return stretches;
}

/**
 * The model with what may be missing of its outline in the errors of its points: anything between nothing and a bite of the
 * stretch's depth, round in plan, is as likely (rectangular). Itself where nothing is missing.
 */
export function withUnscanned(model: Model): Model {
  const { margin, outline, quality } = model;
  const stretches = unscannedMargin(model);
  if (stretches.length === 0 || margin === undefined || outline.left === undefined) return model;
  const n = margin.arc.length;
  const tip = highestPoint(outline.outer);
  const plan = Float64Array.from(outline.left.plan);
  let [area, around] = [0, 0];
  for (const { points, length, depth } of stretches) {
    points.forEach((k, i) => {
      const place = points.length > 1 ? (2 * i) / (points.length - 1) - 1 : 0;
      const missing = (depth * Math.sqrt(1 - place * place)) / Math.sqrt(3);
      const at = (tip - k + n) % n;
      plan[at] = Math.hypot(plan[at], missing);
    });
    // An area of half an ellipse over the stretch; the way round it as two straight sides, which is near enough for an error.
    area += ((Math.PI / 4) * length * depth) ** 2 / 3;
    around += (2 * Math.hypot(length / 2, depth) - length) ** 2 / 3;
  }
  const left: PointErrors = { ...outline.left, plan };
  return {
    ...model,
    outline: { ...outline, left },
    quality: { ...quality, unscanned: { area: Math.sqrt(area), around: Math.sqrt(around) } },
  };
}

/** Vertices on rims of open holes. */
function openRims({ mesh: { triangles }, twins }: Surface): readonly number[] {
  const open: number[] = [];
  for (let h = 0; h < twins.length; h++) if (twins[h] === NO_TWIN) open.push(triangles[h]);
  return open;
}

/** Lowest and highest z of triangles that closed a hole across the faces, by cells of the plan. */
function capHeights(surface: Surface, size: number): ReadonlyMap<string, readonly [number, number]> {
  const { mesh, patchedFrom = mesh.triangles.length } = surface;
  const { positions: p, triangles } = mesh;
  const heights = new Map<string, readonly [number, number]>();
  const normal = new Float64Array(3);
  for (let t = patchedFrom; t < triangles.length; t += 3) {
    twiceVectorArea(p, triangles, t, normal);
    if (Math.abs(normal[2]) > END_ON * Math.hypot(normal[0], normal[1], normal[2])) continue;
    for (let k = 0; k < 3; k++) {
      const at = 3 * triangles[t + k];
      const cell = planCell(p[at], p[at + 1], size);
      const [low, high] = heights.get(cell) ?? [Infinity, -Infinity];
      heights.set(cell, [Math.min(low, p[at + 2]), Math.max(high, p[at + 2])]);
    }
  }
  return heights;
}

/** Half of how far such triangles reach up and down in a place's cell of the plan and those next to it; 0 where there are none. */
function halfHeight(
  caps: ReadonlyMap<string, readonly [number, number]>,
  x: number,
  y: number,
  size: number,
): number {
  let [low, high] = [Infinity, -Infinity];
  for (let k = 0; k < 9 && caps.size > 0; k++) {
    const here = caps.get(planCell(x + ((k % 3) - 1) * size, y + (Math.floor(k / 3) - 1) * size, size));
    if (here === undefined) continue;
    low = Math.min(low, here[0]);
    high = Math.max(high, here[1]);
  }
  return high > low ? (high - low) / 2 : 0;
}

const planCell = (x: number, y: number, size: number): string =>
  `${Math.round(x / size)},${Math.round(y / size)}`;

const cellOf = (x: number, y: number, z: number, size: number): string =>
  `${Math.round(x / size)},${Math.round(y / size)},${Math.round(z / size)}`;

/** Cells of one mean edge in which, or next to which, one of the vertices lies. */
function cellsAbout(p: Float64Array, vertices: readonly number[], size: number): Set<string> {
  const cells = new Set<string>();
  for (const v of vertices) {
    for (let k = 0; k < 27; k++) {
      const dx = (k % 3) - 1;
      const dy = (Math.floor(k / 3) % 3) - 1;
      const dz = Math.floor(k / 9) - 1;
      cells.add(cellOf(p[3 * v] + dx * size, p[3 * v + 1] + dy * size, p[3 * v + 2] + dz * size, size));
    }
  }
  return cells;
}
