/** Result of `weldVertices`. */
export interface Welded {
  /** 3 × kept vertices; a view on the input's own memory. */
  readonly positions: Float64Array;
  /** Vertices that went into another at exactly the same place. */
  readonly numWelded: number;
}

const EMPTY = 0xffffffff;

/**
 * Merges vertices whose coordinates are equal, in order of first appearance. Works in place: `positions` is packed and
 * `triangles` renumbered; both belong to the caller and hold the result afterwards. Coordinates must be finite;
 * −0 becomes 0.
 */
export function weldVertices(positions: Float64Array, triangles: Uint32Array): Welded {
  const numVertices = positions.length / 3;
  const table = new Uint32Array(tableSize(numVertices)).fill(EMPTY);
  const mask = table.length - 1;
  const bits = new Uint32Array(positions.buffer, positions.byteOffset, positions.length * 2);
  const renumbered = new Uint32Array(numVertices);
  let kept = 0;
  for (let v = 0; v < numVertices; v++) {
    const x = positions[3 * v] + 0;
    const y = positions[3 * v + 1] + 0;
    const z = positions[3 * v + 2] + 0;
    const to = 3 * kept;
    positions[to] = x;
    positions[to + 1] = y;
    positions[to + 2] = z;
    let slot = hashBits(bits, 2 * to) & mask;
    let found = table[slot];
    while (found !== EMPTY) {
      const at = 3 * found;
      if (positions[at] === x && positions[at + 1] === y && positions[at + 2] === z) break;
      slot = (slot + 1) & mask;
      found = table[slot];
    }
    if (found === EMPTY) {
      table[slot] = kept;
      renumbered[v] = kept++;
    } else {
      renumbered[v] = found;
    }
  }
  if (kept < numVertices) {
    for (let h = 0; h < triangles.length; h++) triangles[h] = renumbered[triangles[h]];
  }
  return { positions: positions.subarray(0, 3 * kept), numWelded: numVertices - kept };
}

/** A power of two that leaves at least a third of the table free. */
function tableSize(numEntries: number): number {
  return 2 ** Math.max(4, Math.ceil(Math.log2(numEntries * 1.5)));
}

/** Mixes the six words of one vertex. */
function hashBits(bits: Uint32Array, at: number): number {
  let hash = 0;
  for (let k = 0; k < 6; k++) {
    hash = Math.imul(hash ^ bits[at + k], 0x9e3779b1);
    hash ^= hash >>> 15;
  }
  hash = Math.imul(hash, 0x85ebca6b);
  return hash ^ (hash >>> 13);
}
