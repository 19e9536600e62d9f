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

/**
 * Pairs half-edges that lie on the same edge. Where more than two triangles meet, those that run opposite ways and
 * continue each other most flatly are paired and the rest stay open. No triangle may have a corner twice.
 *
 * Half-edges are strung on lists by their lower vertex, then each list is sorted by the other one: no hashing, two passes
 * in the order of memory, one temporary word for each half-edge. A vertex in very many triangles costs n log n.
 */
export function pairHalfEdges(positions: Float64Array, triangles: Uint32Array): Pairing {
  const numHalfEdges = triangles.length;
  const { first, next } = stringByLowerVertex(positions.length / 3, triangles);
  const pairs = new Uint32Array(numHalfEdges).fill(NO_TWIN);
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
function stringByLowerVertex(
  numVertices: number,
  triangles: Uint32Array,
): { first: Uint32Array; next: Uint32Array } {
  const first = new Uint32Array(numVertices).fill(NO_TWIN);
  const next = new Uint32Array(triangles.length);
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
  return { first, next };
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
