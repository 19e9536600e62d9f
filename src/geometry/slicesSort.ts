import type { TriangleMesh } from './types.ts';

/** Which triangles meet which of many parallel planes. */
export interface TrianglesByLevel {
  /** Triangles on level k: `items[starts[k]] … items[starts[k + 1] − 1]`. */
  readonly starts: Uint32Array;
  readonly items: Uint32Array;
  /** For each vertex the number of levels at or below it: it lies above level k where its rank exceeds k. */
  readonly ranks: Uint16Array;
}

/** Levels are looked up through a table of this many times as many equal steps. */
const STEPS_PER_LEVEL = 8;

/**
 * Ranks the vertices once, so that a triangle is judged by three small numbers: those of one rank meet no plane.
 * @param levels rising, at most 65 535
 */
export function sortByLevel(mesh: TriangleMesh, levels: Float64Array, axis: 0 | 1 | 2): TrianglesByLevel {
  checkLevels(levels);
  const { triangles } = mesh;
  const ranks = rankVertices(mesh.positions, levels, axis);
  const starts = new Uint32Array(levels.length + 1);
  const met = trianglesMet(triangles, ranks, starts);
  for (let k = 0; k < levels.length; k++) starts[k + 1] += starts[k];
  const items = new Uint32Array(starts[levels.length]);
  deal(triangles, ranks, met, starts.slice(), items);
  return { starts, items, ranks };
}

/** Triangles that meet a level at all; how many meet level k is added to `counts[k + 1]`. */
function trianglesMet(triangles: Uint32Array, ranks: Uint16Array, counts: Uint32Array): Uint32Array {
  let met = new Uint32Array(4096);
  let count = 0;
  for (let t = 0, h = 0; h < triangles.length; t++, h += 3) {
    const a = ranks[triangles[h]];
    const b = ranks[triangles[h + 1]];
    const c = ranks[triangles[h + 2]];
    if (a === b && b === c) continue;
    const high = Math.max(a, b, c);
    for (let k = Math.min(a, b, c); k < high; k++) counts[k + 1]++;
    if (count === met.length) met = twiceAsLong(met);
    met[count++] = t;
  }
  return met.subarray(0, count);
}

function twiceAsLong(items: Uint32Array): Uint32Array<ArrayBuffer> {
  const grown = new Uint32Array(2 * items.length);
  grown.set(items);
  return grown;
}

/** Writes each triangle to `items` for every level that it meets, from `next[k]` on for level k. */
function deal(
  triangles: Uint32Array,
  ranks: Uint16Array,
  met: Uint32Array,
  next: Uint32Array,
  items: Uint32Array,
): void {
  for (let i = 0; i < met.length; i++) {
    const h = 3 * met[i];
    const a = ranks[triangles[h]];
    const b = ranks[triangles[h + 1]];
    const c = ranks[triangles[h + 2]];
    const high = Math.max(a, b, c);
    for (let k = Math.min(a, b, c); k < high; k++) items[next[k]++] = met[i];
  }
}

function checkLevels(levels: Float64Array): void {
  if (levels.length > 0xffff)
    throw new RangeError(`at most 65535 levels can be cut at once, not ${levels.length}`);
  for (let k = 0; k < levels.length; k++) {
    if (!Number.isFinite(levels[k])) throw new RangeError(`level ${k} is not a finite number`);
    if (k > 0 && levels[k] < levels[k - 1]) throw new RangeError('levels must rise');
  }
}

function rankVertices(positions: Float64Array, levels: Float64Array, axis: number): Uint16Array {
  const numLevels = levels.length;
  const ranks = new Uint16Array(positions.length / 3);
  if (numLevels === 0) return ranks;
  const lowest = levels[0];
  const highest = levels[numLevels - 1];
  const steps = STEPS_PER_LEVEL * numLevels;
  const perStep = highest > lowest ? steps / (highest - lowest) : 0;
  rankAll(positions, levels, axis, rankTable(levels, steps, perStep), perStep, ranks);
  return ranks;
}

/** Rank at the start of each step: from there a few comparisons lead to a vertex's own. */
function rankTable(levels: Float64Array, steps: number, perStep: number): Uint16Array {
  const table = new Uint16Array(steps + 1);
  for (let s = 0, k = 0; s <= steps; s++) {
    while (k < levels.length && perStep > 0 && levels[k] <= levels[0] + s / perStep) k++;
    table[s] = k;
  }
  return table;
}

/** Writes the rank of each vertex; `ranks` comes with zeros. */
function rankAll(
  positions: Float64Array,
  levels: Float64Array,
  axis: number,
  table: Uint16Array,
  perStep: number,
  ranks: Uint16Array,
): void {
  const lowest = levels[0];
  const highest = levels[levels.length - 1];
  for (let v = 0, i = axis; v < ranks.length; v++, i += 3) {
    const y = positions[i];
    if (!(y >= lowest)) continue;
    if (y >= highest) {
      ranks[v] = levels.length;
      continue;
    }
    let k = table[Math.floor((y - lowest) * perStep)];
    while (k > 0 && levels[k - 1] > y) k--;
    while (levels[k] <= y) k++;
    ranks[v] = k;
  }
}
