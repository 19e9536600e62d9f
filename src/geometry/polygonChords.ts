import type { Points2 } from './types.ts';

/** Outermost crossings of a region with a row y = const. Same unit as the rings. */
export interface Chord {
  readonly y: number;
  readonly left: number;
  readonly right: number;
}

/** Edges of rings sorted into rows of equal height, so that one level is met by few of them. */
export interface ChordIndex {
  readonly rings: readonly Points2[];
  readonly minY: number;
  readonly maxY: number;
  readonly rowHeight: number;
  readonly rows: number;
  /** Edges over row r: `edges[starts[r]] … edges[starts[r + 1] − 1]`, each as x0 y0 x1 y1 at `4 × edge`. */
  readonly starts: Uint32Array;
  readonly edges: Uint32Array;
  readonly ends: Float64Array;
}

/** O(edges); a level is then answered in the number of edges of its row. */
export function indexChords(rings: readonly Points2[]): ChordIndex {
  const count = rings.reduce((sum, ring) => sum + ring.length / 2, 0);
  const ends = new Float64Array(4 * count);
  let minY = Infinity;
  let maxY = -Infinity;
  let at = 0;
  for (const ring of rings) {
    const n = ring.length;
    for (let i = 0; i < n; i += 2) {
      const j = i + 2 === n ? 0 : i + 2;
      ends[at++] = ring[i];
      ends[at++] = ring[i + 1];
      ends[at++] = ring[j];
      ends[at++] = ring[j + 1];
      minY = Math.min(minY, ring[i + 1]);
      maxY = Math.max(maxY, ring[i + 1]);
    }
  }
  const rows = Math.max(1, count >> 1);
  const rowHeight = (maxY - minY) / rows || 1;
  const rowOf = (y: number): number => Math.min(rows - 1, Math.max(0, Math.floor((y - minY) / rowHeight)));
  const starts = new Uint32Array(rows + 1);
  const first = new Uint32Array(count);
  const last = new Uint32Array(count);
  for (let e = 0; e < count; e++) {
    const a = rowOf(ends[4 * e + 1]);
    const b = rowOf(ends[4 * e + 3]);
    first[e] = Math.min(a, b);
    last[e] = Math.max(a, b);
    for (let row = first[e]; row <= last[e]; row++) starts[row + 1]++;
  }
  for (let row = 0; row < rows; row++) starts[row + 1] += starts[row];
  const edges = new Uint32Array(starts[rows]);
  const next = starts.slice();
  for (let e = 0; e < count; e++) for (let row = first[e]; row <= last[e]; row++) edges[next[row]++] = e;
  return { rings, minY, maxY, rowHeight, rows, starts, edges, ends };
}

/** The outermost chord at a level, edges with both their ends included; null above and below the region. */
export function chordAt(index: ChordIndex, y: number): Chord | null {
  const ends = new Float64Array(2);
  return reachAt(index, y, ends) ? { y, left: ends[0], right: ends[1] } : null;
}

/** Writes the two ends of the outermost chord at a level; false above and below the region. */
function reachAt(index: ChordIndex, y: number, into: Float64Array): boolean {
  const { minY, maxY, rowHeight, rows, starts, edges, ends } = index;
  if (!(y >= minY && y <= maxY)) return false;
  const row = Math.min(rows - 1, Math.max(0, Math.floor((y - minY) / rowHeight)));
  let left = Infinity;
  let right = -Infinity;
  for (let k = starts[row]; k < starts[row + 1]; k++) {
    const at = 4 * edges[k];
    const y0 = ends[at + 1];
    const y1 = ends[at + 3];
    if ((y0 < y && y1 < y) || (y0 > y && y1 > y)) continue;
    const x0 = ends[at];
    const x1 = ends[at + 2];
    if (y0 === y1) {
      left = Math.min(left, x0, x1);
      right = Math.max(right, x0, x1);
      continue;
    }
    const x = x0 + ((x1 - x0) * (y - y0)) / (y1 - y0);
    if (x < left) left = x;
    if (x > right) right = x;
  }
  into[0] = left;
  into[1] = right;
  return left <= right;
}

/** Longest outermost chord. Between the levels of vertices its length is linear in y: exact at one of them. */
export function greatestChord(index: ChordIndex): Chord {
  const { rings, minY, rowHeight, rows } = index;
  const ends = new Float64Array(2);
  const widest = widths(index);
  // Rows in which no chord is as long as one that there is are passed over.
  let least = 0;
  const middle = minY + (widest.indexOf(widest.reduce((a, b) => Math.max(a, b))) + 0.5) * rowHeight;
  if (reachAt(index, middle, ends)) least = ends[1] - ends[0];
  let y = minY;
  let left = 0;
  let right = 0;
  for (const ring of rings) {
    for (let i = 1; i < ring.length; i += 2) {
      if (widest[Math.min(rows - 1, Math.floor((ring[i] - minY) / rowHeight))] < least) continue;
      if (!reachAt(index, ring[i], ends) || ends[1] - ends[0] <= right - left) continue;
      y = ring[i];
      left = ends[0];
      right = ends[1];
    }
  }
  return { y, left, right };
}

/** How far the edges over each row reach from left to right: no chord there is longer. */
function widths({ rows, starts, edges, ends }: ChordIndex): Float64Array {
  const out = new Float64Array(rows);
  for (let row = 0; row < rows; row++) {
    let left = Infinity;
    let right = -Infinity;
    for (let k = starts[row]; k < starts[row + 1]; k++) {
      const at = 4 * edges[k];
      left = Math.min(left, ends[at], ends[at + 2]);
      right = Math.max(right, ends[at], ends[at + 2]);
    }
    out[row] = right - left;
  }
  return out;
}
