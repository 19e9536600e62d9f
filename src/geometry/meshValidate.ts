import { nextCorner } from './meshCorner.ts';
import { enclosedVolume } from './meshVolume.ts';
import { NO_TWIN, type TriangleMesh, type Twins } from './types.ts';

/** What a mesh is held to beyond what always holds. */
export interface Demands {
  /** No half-edge may lack its twin. */
  readonly closed?: boolean;
  /** The enclosed volume must be positive. */
  readonly outward?: boolean;
}

/**
 * Checks the invariants that the rest of the program relies on and returns every breach as a sentence (the first few of
 * each kind); an empty list means that the mesh is sound. Takes time in proportion to its size.
 *
 * Always: whole numbers of vertices and triangles; finite coordinates; indices in range; no triangle with a corner
 * twice; every vertex used; twins symmetrical, of another triangle, and running back along the same edge.
 */
export function validateMesh(mesh: TriangleMesh, twins: Twins, demands: Demands = {}): string[] {
  const { positions, triangles } = mesh;
  const breaches: string[] = [];
  const counts = new Map<string, number>();
  const report = (kind: string, where: string): void => {
    const seen = counts.get(kind) ?? 0;
    counts.set(kind, seen + 1);
    if (seen < 3) breaches.push(`${where}: ${kind}`);
  };
  const numVertices = positions.length / 3;
  if (!Number.isInteger(numVertices)) report('positions are no multiple of 3', 'mesh');
  if (triangles.length % 3 !== 0) report('triangles are no multiple of 3', 'mesh');
  if (twins.length !== triangles.length) report('there must be one twin for each corner', 'mesh');
  for (let i = 0; i < positions.length; i++) {
    if (!Number.isFinite(positions[i])) report('coordinate is not finite', `vertex ${Math.floor(i / 3)}`);
  }
  const used = new Uint8Array(Math.ceil(numVertices));
  for (let h = 0; h < triangles.length; h++) {
    const from = triangles[h];
    if (from >= numVertices) report('index is out of range', `corner ${h}`);
    else used[from] = 1;
    if (from === triangles[nextCorner(h)]) report('triangle has a corner twice', `corner ${h}`);
    checkTwin(triangles, twins, h, demands.closed === true, report);
  }
  const unused = used.indexOf(0);
  if (unused !== -1) report('no triangle uses it', `vertex ${unused}`);
  if (demands.outward === true && !(enclosedVolume(mesh) > 0)) report('the surface faces inward', 'mesh');
  return breaches;
}

function checkTwin(
  triangles: Uint32Array,
  twins: Twins,
  h: number,
  closed: boolean,
  report: (kind: string, where: string) => void,
): void {
  const twin = twins[h];
  const where = `half-edge ${h}`;
  if (twin === NO_TWIN) {
    if (closed) report('has no twin in a closed mesh', where);
  } else if (twin >= triangles.length) {
    report('twin is out of range', where);
  } else if (twins[twin] !== h) {
    report('is not the twin of its twin', where);
  } else if (Math.floor(twin / 3) === Math.floor(h / 3)) {
    report('twin lies in the same triangle', where);
  } else if (triangles[twin] !== triangles[nextCorner(h)] || triangles[nextCorner(twin)] !== triangles[h]) {
    report('twin does not run back along the same edge', where);
  }
}
