import { keepTriangles } from './meshCompact.ts';
import { pairHalfEdges } from './meshTwins.ts';
import { NO_TWIN } from './types.ts';

/** Pieces of at most so many triangles are crumbs where they hang on another. */
const CRUMB = 16;

/**
 * Takes out what collapsing edges may pinch off: little pieces that hang on the rest by a vertex or an edge and have no
 * surface in common with it. Pieces that stand apart stay. Works in place; returns a view on the input's memory.
 */
export function dropCrumbs(positions: Float64Array, triangles: Uint32Array): Uint32Array {
  const { pairs, numNonManifold, numOpen } = pairHalfEdges(positions, triangles);
  if (numNonManifold === 0 && numOpen === 0) return triangles;
  const { pieceOf, sizes } = pieces(pairs);
  if (sizes.length === 1) return triangles;
  const isLarge = (t: number): boolean => sizes[pieceOf[t]] > CRUMB;
  const onLarge = new Uint8Array(positions.length / 3);
  for (let h = 0; h < triangles.length; h++) if (isLarge(Math.floor(h / 3))) onLarge[triangles[h]] = 1;
  const hangs = new Uint8Array(sizes.length);
  for (let h = 0; h < triangles.length; h++) {
    const t = Math.floor(h / 3);
    if (!isLarge(t) && onLarge[triangles[h]] === 1) hangs[pieceOf[t]] = 1;
  }
  return keepTriangles(triangles, (t) => hangs[pieceOf[t]] === 0);
}

/** Triangles that are joined by paired edges, numbered by piece. */
function pieces(pairs: Uint32Array): { pieceOf: Uint32Array; sizes: number[] } {
  const numTriangles = pairs.length / 3;
  const pieceOf = new Uint32Array(numTriangles).fill(NO_TWIN);
  const sizes: number[] = [];
  const stack = new Uint32Array(numTriangles);
  for (let start = 0; start < numTriangles; start++) {
    if (pieceOf[start] !== NO_TWIN) continue;
    let size = 0;
    let depth = 0;
    stack[depth++] = start;
    pieceOf[start] = sizes.length;
    while (depth > 0) {
      const t = stack[--depth];
      size++;
      for (let h = 3 * t; h < 3 * t + 3; h++) {
        const next = pairs[h] === NO_TWIN ? NO_TWIN : Math.floor(pairs[h] / 3);
        if (next === NO_TWIN || pieceOf[next] !== NO_TWIN) continue;
        pieceOf[next] = sizes.length;
        stack[depth++] = next;
      }
    }
    sizes.push(size);
  }
  return { pieceOf, sizes };
}

/**
 * Takes out pairs of triangles that lie back to back on the same three corners, as collapsing edges may leave them: they
 * enclose nothing, and their neighbours fit together without them. Works in place; returns a view on the input's memory.
 */
export function dropFolds(triangles: Uint32Array): Uint32Array {
  const numTriangles = triangles.length / 3;
  const mask = 2 ** Math.ceil(Math.log2(2 * numTriangles + 1)) - 1;
  // Triangle + 1 by its corners; 0 is free.
  const table = new Uint32Array(mask + 1);
  const folded = new Uint8Array(numTriangles);
  for (let t = 0; t < numTriangles; t++) {
    let slot = hashOf(triangles, 3 * t) & mask;
    while (table[slot] !== 0) {
      const other = table[slot] - 1;
      if (folded[other] === 0 && isBackToBack(triangles, 3 * t, 3 * other)) {
        folded[other] = folded[t] = 1;
        break;
      }
      slot = (slot + 1) & mask;
    }
    if (folded[t] === 0) table[slot] = t + 1;
  }
  return keepTriangles(triangles, (t) => folded[t] === 0);
}

/** The same for the same corners in any order. */
function hashOf(triangles: Uint32Array, h: number): number {
  const a = triangles[h];
  const b = triangles[h + 1];
  const c = triangles[h + 2];
  let hash = Math.imul(Math.min(a, b, c), 0x9e3779b1) ^ Math.imul(Math.max(a, b, c), 0x85ebca6b);
  hash ^= Math.imul(a + b + c, 0xc2b2ae35);
  return (hash ^ (hash >>> 15)) >>> 0;
}

/** The same corners, gone round the other way. */
function isBackToBack(triangles: Uint32Array, g: number, h: number): boolean {
  const a = triangles[g];
  const b = triangles[g + 1];
  const c = triangles[g + 2];
  const p = triangles[h];
  const q = triangles[h + 1];
  const r = triangles[h + 2];
  return (
    (a === p && b === r && c === q) || (a === q && b === p && c === r) || (a === r && b === q && c === p)
  );
}
