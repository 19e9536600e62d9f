import { NO_TWIN, type Twins } from './types.ts';

/** Drops triangles in place, keeping order; returns a view on the input's own memory. */
export function keepTriangles(triangles: Uint32Array, keep: (t: number) => boolean): Uint32Array {
  const numTriangles = triangles.length / 3;
  let kept = 0;
  for (let t = 0; t < numTriangles; t++) {
    if (!keep(t)) continue;
    if (kept !== t) triangles.copyWithin(3 * kept, 3 * t, 3 * t + 3);
    kept++;
  }
  return triangles.subarray(0, 3 * kept);
}

/**
 * Drops triangles and renumbers the twins of the rest, both in place; a twin that is dropped leaves NO_TWIN behind.
 * Returns views on the inputs' own memory.
 */
export function keepTrianglesAndTwins(
  triangles: Uint32Array,
  twins: Twins,
  keep: (t: number) => boolean,
): { triangles: Uint32Array; twins: Twins } {
  const numTriangles = triangles.length / 3;
  const renumbered = new Uint32Array(numTriangles).fill(NO_TWIN);
  let kept = 0;
  for (let t = 0; t < numTriangles; t++) if (keep(t)) renumbered[t] = kept++;
  for (let t = 0; t < numTriangles; t++) {
    const to = renumbered[t];
    if (to === NO_TWIN) continue;
    for (let corner = 0; corner < 3; corner++) {
      const twin = twins[3 * t + corner];
      const other = twin === NO_TWIN ? NO_TWIN : renumbered[(twin / 3) | 0];
      twins[3 * to + corner] = other === NO_TWIN ? NO_TWIN : 3 * other + (twin % 3);
      triangles[3 * to + corner] = triangles[3 * t + corner];
    }
  }
  return { triangles: triangles.subarray(0, 3 * kept), twins: twins.subarray(0, 3 * kept) };
}

/** Drops vertices that no triangle uses, in place and keeping order; returns a view on the input's own memory. */
export function dropUnusedVertices(positions: Float64Array, triangles: Uint32Array): Float64Array {
  const numVertices = positions.length / 3;
  const renumbered = new Uint32Array(numVertices);
  for (let h = 0; h < triangles.length; h++) renumbered[triangles[h]] = 1;
  let kept = 0;
  for (let v = 0; v < numVertices; v++) {
    if (renumbered[v] === 0) continue;
    if (kept !== v) positions.copyWithin(3 * kept, 3 * v, 3 * v + 3);
    renumbered[v] = kept++;
  }
  if (kept === numVertices) return positions;
  for (let h = 0; h < triangles.length; h++) triangles[h] = renumbered[triangles[h]];
  return positions.subarray(0, 3 * kept);
}

/** The array itself if it fills its memory, else a copy that does, so that what was dropped is given back. */
export function trimmed<T extends Float64Array | Uint32Array>(array: T): T {
  return array.byteLength === array.buffer.byteLength ? array : (array.slice() as T);
}
