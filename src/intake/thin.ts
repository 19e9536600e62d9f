import { dropUnusedVertices, keepTriangles, trimmed } from '../geometry/meshCompact.ts';
import { dropCrumbs } from '../geometry/meshFolds.ts';
import { weldVertices } from '../geometry/meshWeld.ts';
import { canSimplify, simplifyMesh } from '../geometry/simplifyMesh.ts';
import type { Hooks, Warning } from '../geometry/types.ts';
import type { RawMesh } from './rawMesh.ts';
import { IntakeError, type RepairReport } from './types.ts';
import { count } from './wording.ts';

/** What thinning did. */
export interface Thinning {
  /** Triangles before it. */
  readonly from: number;
  /** About how far the surface was moved where that was most (quadric error), in the unit of the mesh. */
  readonly moved: number;
}

export interface ThinnedMesh {
  readonly raw: RawMesh;
  /** Undefined where the mesh had no more triangles than were asked for. */
  readonly thinning: Thinning | undefined;
  /** What was found on the way: belongs into the report of the repair that follows. */
  readonly found: Pick<
    RepairReport,
    'trianglesRead' | 'verticesRead' | 'verticesWelded' | 'degenerateDropped'
  >;
}

/**
 * A raw mesh thinned to at most about `limit` triangles, welded, in memory of its own. `raw` is used up. What is not sound
 * is kept as it is where that leaves less to choose from: then more triangles stay.
 */
export function thinRaw(raw: RawMesh, limit: number, hooks: Hooks = {}): ThinnedMesh {
  const numTriangles = raw.triangles.length / 3;
  const numVertices = raw.positions.length / 3;
  const nothing = { trianglesRead: numTriangles + raw.numEmptyFaces, verticesRead: numVertices };
  if (numTriangles <= limit) {
    return { raw, thinning: undefined, found: { ...nothing, verticesWelded: 0, degenerateDropped: 0 } };
  }
  if (!canSimplify())
    throw new IntakeError('unsupported', 'The scan can’t be thinned here: WebAssembly is not allowed.');
  const { positions, numWelded } = weldVertices(raw.positions, raw.triangles);
  const sound = keepTriangles(raw.triangles, (t) => hasThreeCorners(raw.triangles, 3 * t));
  const { triangles, moved } = simplifyMesh({ positions, triangles: sound }, limit, (done) => {
    hooks.signal?.throwIfAborted();
    hooks.progress?.(done, 'thinning');
  });
  const used = dropUnusedVertices(positions, triangles);
  const clean = dropCrumbs(used, triangles);
  return {
    raw: { positions: trimmed(used), triangles: trimmed(clean), numEmptyFaces: raw.numEmptyFaces },
    thinning: sound.length / 3 > limit ? { from: sound.length / 3, moved } : undefined,
    found: { ...nothing, verticesWelded: numWelded, degenerateDropped: numTriangles - sound.length / 3 },
  };
}

/** What a person should know of a thinned scan; `thinning` in millimetres. */
export function thinningWarning({ from, moved }: Thinning, kept: number): Warning {
  return {
    code: 'thinned',
    text: `The scan was thinned from ${count(from, 'triangle')} to ${count(kept, 'triangle')} before it was measured (edges collapsed by quadric error); that moved the surface by about ${Number(moved.toPrecision(2))} mm where it moved most, which is part of the uncertainties.`,
  };
}

function hasThreeCorners(triangles: Uint32Array, h: number): boolean {
  const [a, b, c] = [triangles[h], triangles[h + 1], triangles[h + 2]];
  return a !== b && b !== c && c !== a;
}
