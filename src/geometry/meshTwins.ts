import { apexCorner } from './meshCorner.ts';
import { pairManyOnEdge } from './meshNonManifold.ts';
import { NO_TWIN, type Twins } from './types.ts';

/** What pairing the half-edges of a mesh found. */
export interface Pairing {
  /**
   * Partner of each half-edge, symmetrical, or NO_TWIN. The two may still run the same way: `orientPieces` says which
   * triangles to turn round so that none do, and only then are these twins.
   */
  readonly pairs: Twins;
  /** Pairs that run the same way along their edge: the winding changes there. */
  readonly numSameWay: number;
  /** Half-edges without a partner. */
  readonly numOpen: number;
  /** Edges at which more than two triangles meet. */
  readonly numNonManifold: number;
  /** 1 for each triangle that has the same three corners as one before it; undefined when there is none. */
  readonly duplicates: Uint8Array | undefined;
}

/** Half-edges on one vertex, above which the library's sort takes over from insertion. */
const FEW = 32;
/** Edges on one vertex, above which they are sorted and no longer looked through one by one. */
const MOST_LOOKED_THROUGH = 64;

/**
 * Pairs half-edges that lie on the same edge. Where more than two triangles meet, those that run opposite ways and
 * continue each other most flatly are paired and the rest stay open. No triangle may have a corner twice.
 *
 * Half-edges are strung on lists by their lower vertex: no hashing, one temporary word for each half-edge.
 */
export function pairHalfEdges(positions: Float64Array, triangles: Uint32Array): Pairing {
  const memory: Memory = {
    first: new Uint32Array(positions.length / 3),
    next: new Uint32Array(triangles.length),
    pairs: new Uint32Array(triangles.length),
  };
  return pairByTwos(triangles, memory) ?? pairAny(positions, triangles, memory);
}

/** What pairing works in: `first` half-edge of each vertex, then along `next` until NO_TWIN; and its outcome. */
interface Memory {
  readonly first: Uint32Array;
  readonly next: Uint32Array;
  readonly pairs: Twins;
}

/**
 * The usual mesh, in one pass: each half-edge looks through the edges of its lower vertex for its own, and is paired with it or
 * strung as the first on that edge. Undefined as soon as more than two share an edge, a triangle repeats another or a vertex
 * has very many edges.
 */
function pairByTwos(triangles: Uint32Array, { first, next, pairs }: Memory): Pairing | undefined {
  first.fill(NO_TWIN);
  pairs.fill(NO_TWIN);
  let numPaired = 0;
  let numSameWay = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    for (let corner = 0; corner < 3; corner++) {
      const h = t + corner;
      const a = triangles[h];
      const b = triangles[corner === 2 ? t : h + 1];
      const low = Math.min(a, b);
      const high = Math.max(a, b);
      let e = first[low];
      let looked = 0;
      for (; e !== NO_TWIN; e = next[e]) {
        const from = triangles[e];
        if (from === high) break;
        if (from === low && triangles[e % 3 === 2 ? e - 2 : e + 1] === high) break;
        if (++looked > MOST_LOOKED_THROUGH) return undefined;
      }
      if (e === NO_TWIN) {
        next[h] = first[low];
        first[low] = h;
        continue;
      }
      if (pairs[e] !== NO_TWIN) return undefined;
      if (triangles[apexCorner(e)] === triangles[corner === 0 ? t + 2 : h - 1]) return undefined;
      pairs[e] = h;
      pairs[h] = e;
      numPaired += 2;
      if (triangles[e] === a) numSameWay++;
    }
  }
  return { pairs, numSameWay, numOpen: pairs.length - numPaired, numNonManifold: 0, duplicates: undefined };
}

/**
 * Any mesh: each vertex's list is sorted by the other vertex, and what shares an edge stands together. Two passes in the order
 * of memory; a vertex in very many triangles costs n log n.
 */
function pairAny(positions: Float64Array, triangles: Uint32Array, { first, next, pairs }: Memory): Pairing {
  const numHalfEdges = triangles.length;
  stringByLowerVertex(triangles, first, next);
  pairs.fill(NO_TWIN);
  let duplicates: Uint8Array | undefined;
  const markDuplicate = (h: number): void => {
    duplicates ??= new Uint8Array(numHalfEdges / 3);
    duplicates[Math.floor(h / 3)] = 1;
  };
  let numPaired = 0;
  let numSameWay = 0;
  let numNonManifold = 0;
  let halfEdges = new Uint32Array(64);
  let others = new Uint32Array(64);
  for (let v = 0; v < first.length; v++) {
    let count = 0;
    for (let h = first[v]; h !== NO_TWIN; h = next[h]) {
      if (count === others.length) {
        halfEdges = grown(halfEdges);
        others = grown(others);
      }
      const from = triangles[h];
      const other = from === v ? triangles[h % 3 === 2 ? h - 2 : h + 1] : from;
      let i = count++;
      if (count <= FEW) {
        for (; i > 0 && others[i - 1] > other; i--) {
          others[i] = others[i - 1];
          halfEdges[i] = halfEdges[i - 1];
        }
      }
      others[i] = other;
      halfEdges[i] = h;
    }
    if (count > FEW) sortByOther(halfEdges, others, count);
    for (let i = 0; i < count; ) {
      let end = i + 1;
      while (end < count && others[end] === others[i]) end++;
      if (end - i === 2) {
        const a = halfEdges[i];
        const b = halfEdges[i + 1];
        pairs[a] = b;
        pairs[b] = a;
        numPaired += 2;
        if (triangles[a] === triangles[b]) numSameWay++;
        if (triangles[apexCorner(a)] === triangles[apexCorner(b)]) markDuplicate(Math.max(a, b));
      } else if (end - i > 2) {
        numNonManifold++;
        numPaired += pairManyOnEdge(
          positions,
          triangles,
          pairs,
          halfEdges.slice(i, end).sort(),
          markDuplicate,
        );
      }
      i = end;
    }
  }
  return { pairs, numSameWay, numOpen: numHalfEdges - numPaired, numNonManifold, duplicates };
}

/** Lists of half-edges by lower vertex: `first` of each vertex, then along `next` until NO_TWIN. */
function stringByLowerVertex(triangles: Uint32Array, first: Uint32Array, next: Uint32Array): void {
  first.fill(NO_TWIN);
  for (let h = 0; h < triangles.length; h += 3) {
    const a = triangles[h];
    const b = triangles[h + 1];
    const c = triangles[h + 2];
    const ab = Math.min(a, b);
    next[h] = first[ab];
    first[ab] = h;
    const bc = Math.min(b, c);
    next[h + 1] = first[bc];
    first[bc] = h + 1;
    const ca = Math.min(c, a);
    next[h + 2] = first[ca];
    first[ca] = h + 2;
  }
}

/** Sorts many half-edges by their other vertex, both words of each kept together. */
function sortByOther(halfEdges: Uint32Array, others: Uint32Array, count: number): void {
  const both = new BigUint64Array(count);
  for (let i = 0; i < count; i++) both[i] = (BigInt(others[i]) << 32n) | BigInt(halfEdges[i]);
  both.sort();
  for (let i = 0; i < count; i++) {
    others[i] = Number(both[i] >> 32n);
    halfEdges[i] = Number(both[i] & 0xffffffffn);
  }
}

function grown(array: Uint32Array): Uint32Array<ArrayBuffer> {
  const larger = new Uint32Array(array.length * 2);
  larger.set(array);
  return larger;
}
