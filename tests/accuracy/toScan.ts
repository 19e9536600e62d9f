import type { TriangleMesh } from '../../src/geometry/types.ts';
import { repairMesh } from '../../src/intake/repair.ts';
import { DEFAULT_SCAN_SETTINGS } from '../../src/intake/settings.ts';
import type { Scan } from '../../src/intake/types.ts';

/** A mesh in millimetres as the reader would hand it on: welded, paired, outward. The given mesh stays untouched. */
export function toScan(mesh: TriangleMesh): Scan {
  const raw = { positions: mesh.positions.slice(), triangles: mesh.triangles.slice(), numEmptyFaces: 0 };
  const repaired = repairMesh(raw, DEFAULT_SCAN_SETTINGS);
  return {
    kind: 'scan',
    mesh: repaired.mesh,
    twins: repaired.twins,
    format: 'ply',
    unit: { unit: 'mm', method: 'given' },
    repair: repaired.report,
    closed: repaired.closed,
    warnings: repaired.warnings,
  };
}
