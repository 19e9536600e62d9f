import {
  dropUnusedVertices,
  keepTriangles,
  keepTrianglesAndTwins,
  trimmed,
} from '../geometry/meshCompact.ts';
import { findHoles } from '../geometry/meshHoles.ts';
import { applyFlips, orientPieces } from '../geometry/meshOrient.ts';
import { type Pairing, pairHalfEdges } from '../geometry/meshTwins.ts';
import { weldVertices } from '../geometry/meshWeld.ts';
import type { Hooks, TriangleMesh, Twins, Warning } from '../geometry/types.ts';
import type { RawMesh } from './rawMesh.ts';
import { IntakeError, type RepairReport, type ScanSettings } from './types.ts';

export interface Repaired {
  readonly mesh: TriangleMesh;
  readonly twins: Twins;
  readonly report: RepairReport;
  readonly closed: boolean;
  readonly warnings: readonly Warning[];
}

export function repairMesh(raw: RawMesh, _settings: ScanSettings, hooks: Hooks = {}): Repaired {
  const step = (fraction: number, name: string): void => {
    hooks.signal?.throwIfAborted();
    hooks.progress?.(fraction, name);
  };
  const trianglesRead = raw.triangles.length / 3;
  const verticesRead = raw.positions.length / 3;
  step(0, 'welding vertices');
  let { positions, numWelded } = weldVertices(raw.positions, raw.triangles);
  let triangles = keepTriangles(raw.triangles, (t) => {
    const a = raw.triangles[3 * t];
    const b = raw.triangles[3 * t + 1];
    const c = raw.triangles[3 * t + 2];
    return a !== b && b !== c && c !== a;
  });
  const degenerateDropped = raw.numEmptyFaces + trianglesRead - triangles.length / 3;
  step(0.2, 'pairing edges');
  let pairing: Pairing = pairHalfEdges(positions, triangles);
  let duplicateDropped = 0;
  if (pairing.duplicates !== undefined) {
    const { duplicates } = pairing;
    const before = triangles.length / 3;
    triangles = keepTriangles(triangles, (t) => duplicates[t] === 0);
    duplicateDropped = before - triangles.length / 3;
    pairing = pairHalfEdges(positions, triangles);
  }
  step(0.6, 'turning triangles outward');
  let twins = pairing.pairs;
  const { pieceOf, flips, areas } = orientPieces(positions, triangles, pairing);
  let main = 0;
  for (let piece = 1; piece < areas.length; piece++) if (areas[piece] > areas[main]) main = piece;
  if (!(areas[main] > 0))
    throw new IntakeError('no-area', 'The scan has no surface: every triangle has zero area.');
  applyFlips(triangles, twins, flips);
  let trianglesFlipped = 0;
  for (let t = 0; t < pieceOf.length; t++) if (pieceOf[t] === main) trianglesFlipped += flips[t];
  const warnings: Warning[] = [];
  let componentTrianglesDropped = 0;
  if (areas.length > 1) {
    const before = triangles.length / 3;
    ({ triangles, twins } = keepTrianglesAndTwins(triangles, twins, (t) => pieceOf[t] === main));
    componentTrianglesDropped = before - triangles.length / 3;
    const share = 1 - areas[main] / areas.reduce((sum, area) => sum + area, 0);
    warnings.push({
      code: 'several-pieces',
      text: `The file holds ${areas.length} separate pieces; the largest was kept and the others, ${(100 * share).toPrecision(2)} % of the surface, were dropped.`,
    });
  }
  positions = dropUnusedVertices(positions, triangles);
  const mesh = { positions: trimmed(positions), triangles: trimmed(triangles) };
  twins = trimmed(twins);
  step(0.9, 'looking for holes');
  const holes = findHoles(mesh, twins);
  const largestHoleLeft = holes.reduce((most, hole) => Math.max(most, hole.length), 0);
  if (holes.length > 0) {
    warnings.push({ code: 'open-surface', text: `The surface is open: holes are left in it.` });
  }
  const report: RepairReport = {
    trianglesRead,
    verticesRead,
    verticesWelded: numWelded,
    degenerateDropped,
    duplicateDropped,
    trianglesFlipped,
    componentsFound: areas.length,
    componentTrianglesDropped,
    nonManifoldEdges: pairing.numNonManifold,
    holesFound: holes.length,
    holesClosed: 0,
    holesLeft: holes.length,
    largestHoleLeft,
  };
  return { mesh, twins, report, closed: holes.length === 0, warnings };
}
