import { NO_TWIN, type Twins } from './types.ts';

/** What pairing the half-edges of a mesh found. */
export interface Pairing {
  /**
   * Partner of each half-edge, symmetrical, or NO_TWIN. The two may still run the same way: `orientTriangles` turns
   * triangles round until no pair does, and only then are these twins.
   */
  readonly pairs: Twins;
  /** Edges at which more than two triangles meet. */
  readonly numNonManifold: number;
  /** 1 for each triangle that has the same three corners as one before it; undefined when there is none. */
  readonly duplicates: Uint8Array | undefined;
}

/** Half-edges on one vertex, above which sorting by comparison gives way to the library's sort. */
const SMALL = 24;

/**
 * Pairs half-edges that lie on the same edge. Where more than two triangles meet, those that run opposite ways and
 * continue each other most flatly are paired and the rest stay open.
 *
 * Half-edges are strung on lists by their lower vertex, then each list is sorted by the other one: no hashing, two passes
 * in the order of memory, one temporary word for each half-edge. A vertex in very many triangles costs n log n.
 */
export function pairHalfEdges(positions: Float64Array, triangles: Uint32Array): Pairing {
  const numHalfEdges = triangles.length;
  const first = new Uint32Array(positions.length / 3).fill(NO_TWIN);
  const next = new Uint32Array(numHalfEdges);
  for (let h = 0; h < numHalfEdges; h++) {
    const from = triangles[h];
    const to = triangles[nextCorner(h)];
    const low = Math.min(from, to);
    next[h] = first[low];
    first[low] = h;
  }
  const pairs = new Uint32Array(numHalfEdges).fill(NO_TWIN);
  const finder = new EdgeFinder(positions, triangles, pairs);
  for (let v = 0; v < first.length; v++) {
    let count = 0;
    for (let h = first[v]; h !== NO_TWIN; h = next[h]) finder.put(count++, v, h);
    if (count > 1) finder.pair(v, count);
  }
  return { pairs, numNonManifold: finder.numNonManifold, duplicates: finder.duplicates };
}

export function nextCorner(h: number): number {
  return h % 3 === 2 ? h - 2 : h + 1;
}

/** The corner opposite to half-edge h. */
export function apexCorner(h: number): number {
  return h % 3 === 0 ? h + 2 : h - 1;
}

/** Works through the half-edges of one vertex at a time. */
class EdgeFinder {
  numNonManifold = 0;
  duplicates: Uint8Array | undefined;
  private halfEdges = new Uint32Array(64);
  private others = new Uint32Array(64);

  constructor(
    private readonly positions: Float64Array,
    private readonly triangles: Uint32Array,
    private readonly pairs: Twins,
  ) {}

  put(index: number, vertex: number, h: number): void {
    if (index === this.halfEdges.length) {
      this.halfEdges = grown(this.halfEdges);
      this.others = grown(this.others);
    }
    const from = this.triangles[h];
    this.halfEdges[index] = h;
    this.others[index] = from === vertex ? this.triangles[nextCorner(h)] : from;
  }

  pair(vertex: number, count: number): void {
    const { halfEdges, others, pairs, triangles } = this;
    this.sort(count);
    for (let i = 0; i < count; ) {
      let end = i + 1;
      while (end < count && others[end] === others[i]) end++;
      if (end - i === 2 && others[i] !== vertex) {
        const a = halfEdges[i];
        const b = halfEdges[i + 1];
        pairs[a] = b;
        pairs[b] = a;
        if (triangles[apexCorner(a)] === triangles[apexCorner(b)]) this.markDuplicate(Math.max(a, b));
      } else if (end - i > 2 && others[i] !== vertex) {
        this.numNonManifold++;
        this.pairMany(halfEdges.slice(i, end).sort());
      }
      i = end;
    }
  }

  private sort(count: number): void {
    const { halfEdges, others } = this;
    if (count > SMALL) {
      // Both words in one exact number below 2⁵³ for every mesh that fits in memory.
      const span = 2 ** 32;
      const wide = new BigUint64Array(count);
      for (let i = 0; i < count; i++) wide[i] = BigInt(others[i]) * BigInt(span) + BigInt(halfEdges[i]);
      wide.sort();
      for (let i = 0; i < count; i++) {
        others[i] = Number(wide[i] >> 32n);
        halfEdges[i] = Number(wide[i] & 0xffffffffn);
      }
      return;
    }
    for (let i = 1; i < count; i++) {
      const other = others[i];
      const h = halfEdges[i];
      let j = i - 1;
      while (j >= 0 && others[j] > other) {
        others[j + 1] = others[j];
        halfEdges[j + 1] = halfEdges[j];
        j--;
      }
      others[j + 1] = other;
      halfEdges[j + 1] = h;
    }
  }

  private markDuplicate(h: number): void {
    this.duplicates ??= new Uint8Array(this.triangles.length / 3);
    this.duplicates[Math.floor(h / 3)] = 1;
  }

  /** More than two half-edges (ascending) on one edge: duplicates are marked, then the flattest opposite pairs made. */
  private pairMany(onEdge: Uint32Array): void {
    const { triangles, pairs } = this;
    const seen = new Set<number>();
    for (const h of onEdge) {
      const apex = triangles[apexCorner(h)];
      if (seen.has(apex)) this.markDuplicate(h);
      seen.add(apex);
    }
    const forward = onEdge.filter((h) => triangles[h] < triangles[nextCorner(h)]);
    const backward = onEdge.filter((h) => triangles[h] > triangles[nextCorner(h)]);
    // A bundle this thick is no surface; leaving it open also keeps the work bounded.
    if (forward.length * backward.length > 4096) return;
    const candidates: { a: number; b: number; cosine: number }[] = [];
    for (const a of forward) for (const b of backward) candidates.push({ a, b, cosine: this.cosine(a, b) });
    candidates.sort((p, q) => q.cosine - p.cosine || p.a - q.a || p.b - q.b);
    for (const { a, b } of candidates) {
      if (pairs[a] !== NO_TWIN || pairs[b] !== NO_TWIN) continue;
      pairs[a] = b;
      pairs[b] = a;
    }
  }

  /** Cosine between the normals of the triangles of two half-edges. */
  private cosine(a: number, b: number): number {
    const m = this.normal(a);
    const n = this.normal(b);
    const size = Math.hypot(...m) * Math.hypot(...n);
    return size > 0 ? (m[0] * n[0] + m[1] * n[1] + m[2] * n[2]) / size : -1;
  }

  private normal(h: number): [number, number, number] {
    const { positions: p, triangles } = this;
    const a = 3 * triangles[h];
    const b = 3 * triangles[nextCorner(h)];
    const c = 3 * triangles[apexCorner(h)];
    const ux = p[b] - p[a];
    const uy = p[b + 1] - p[a + 1];
    const uz = p[b + 2] - p[a + 2];
    const vx = p[c] - p[a];
    const vy = p[c + 1] - p[a + 1];
    const vz = p[c + 2] - p[a + 2];
    return [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
  }
}

function grown(array: Uint32Array): Uint32Array<ArrayBuffer> {
  const larger = new Uint32Array(array.length * 2);
  larger.set(array);
  return larger;
}
