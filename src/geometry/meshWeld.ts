/** Result of `weldVertices`. */
export interface Welded {
  /** 3 × kept vertices; a view on the input's own memory. */
  readonly positions: Float64Array;
  /** Vertices that went into another at exactly the same place. */
  readonly numWelded: number;
}

/** Vertices that share a small table: few enough for a processor's nearest memory to hold it. */
const BUCKET = 4096;
const EMPTY = 0xffffffff;

/**
 * Merges vertices whose coordinates are equal, in order of first appearance. Works in place: `positions` is packed and
 * `triangles` renumbered; both belong to the caller and hold the result afterwards. Coordinates must be finite;
 * −0 becomes 0.
 *
 * One hash table for millions of vertices would miss the cache at nearly every step, so vertices are first dealt into
 * buckets by their hash, and every bucket gets a table of its own. Temporary memory: 12 bytes a vertex.
 */
export function weldVertices(positions: Float64Array, triangles: Uint32Array): Welded {
  const numVertices = positions.length / 3;
  for (let i = 0; i < positions.length; i++) positions[i] += 0;
  const { hashes, order, starts } = dealByHash(positions);
  const first = firstsOfEqual(positions, hashes, order, starts);
  let kept = 0;
  for (let v = 0; v < numVertices; v++) {
    if (first[v] !== v) {
      first[v] = first[first[v]];
      continue;
    }
    if (kept !== v) positions.copyWithin(3 * kept, 3 * v, 3 * v + 3);
    first[v] = kept++;
  }
  if (kept < numVertices) for (let h = 0; h < triangles.length; h++) triangles[h] = first[triangles[h]];
  return { positions: positions.subarray(0, 3 * kept), numWelded: numVertices - kept };
}

interface Dealt {
  /** Hash of each vertex in the order of `order`. */
  readonly hashes: Uint32Array;
  /** Vertices by bucket, ascending within each. */
  readonly order: Uint32Array;
  /** Where each bucket begins in `order`; one more for the end. */
  readonly starts: Uint32Array;
}

function dealByHash(positions: Float64Array): Dealt {
  const numVertices = positions.length / 3;
  const bits = new Uint32Array(positions.buffer, positions.byteOffset, positions.length * 2);
  const depth = Math.max(0, Math.min(16, Math.ceil(Math.log2(numVertices / BUCKET))));
  const starts = new Uint32Array(2 ** depth + 1);
  countByHash(bits, depth, starts);
  for (let b = 1; b < starts.length; b++) starts[b] += starts[b - 1];
  const hashes = new Uint32Array(numVertices);
  const order = new Uint32Array(numVertices);
  placeByHash(bits, depth, starts.slice(), hashes, order);
  return { hashes, order, starts };
}

/** The bucket of a hash: its first `depth` bits. */
function bucketOf(hash: number, depth: number): number {
  return depth === 0 ? 0 : hash >>> (32 - depth);
}

/** Adds to `counts[b + 1]` how many vertices fall into bucket b. */
function countByHash(bits: Uint32Array, depth: number, counts: Uint32Array): void {
  for (let at = 0; at < bits.length; at += 6) counts[bucketOf(hashBits(bits, at), depth) + 1]++;
}

/** Lays vertices and their hashes into buckets, from `next[b]` on in bucket b. */
function placeByHash(
  bits: Uint32Array,
  depth: number,
  next: Uint32Array,
  hashes: Uint32Array,
  order: Uint32Array,
): void {
  for (let v = 0; v < order.length; v++) {
    const hash = hashBits(bits, 6 * v);
    const at = next[bucketOf(hash, depth)]++;
    hashes[at] = hash;
    order[at] = v;
  }
}

/** For each vertex the first one at the same place: itself, if it is that one. */
function firstsOfEqual(
  p: Float64Array,
  hashes: Uint32Array,
  order: Uint32Array,
  starts: Uint32Array,
): Uint32Array {
  const first = new Uint32Array(order.length);
  let table = new Uint32Array(2 * BUCKET);
  for (let bucket = 0; bucket + 1 < starts.length; bucket++) {
    const end = starts[bucket + 1];
    const size = 2 ** Math.ceil(Math.log2(2 * (end - starts[bucket]) + 1));
    if (size > table.length) table = new Uint32Array(size);
    const mask = size - 1;
    table.fill(EMPTY, 0, size);
    for (let i = starts[bucket]; i < end; i++) {
      const hash = hashes[i];
      const v = order[i];
      let slot = hash & mask;
      while (table[slot] !== EMPTY) {
        if (hashes[table[slot]] === hash && isSamePlace(p, 3 * order[table[slot]], 3 * v)) break;
        slot = (slot + 1) & mask;
      }
      if (table[slot] === EMPTY) table[slot] = i;
      first[v] = order[table[slot]];
    }
  }
  return first;
}

function isSamePlace(p: Float64Array, a: number, b: number): boolean {
  return p[a] === p[b] && p[a + 1] === p[b + 1] && p[a + 2] === p[b + 2];
}

/** Mixes the six words of one vertex; every bit of them moves the high bits and the low ones. */
function hashBits(bits: Uint32Array, at: number): number {
  let hash = bits[at];
  for (let k = 1; k < 6; k++) {
    hash = Math.imul(hash ^ (hash >>> 15), 0x9e3779b1) ^ bits[at + k];
  }
  hash = Math.imul(hash ^ (hash >>> 16), 0x85ebca6b);
  hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35);
  return (hash ^ (hash >>> 16)) >>> 0;
}
