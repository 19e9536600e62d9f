import type { TriangleMesh } from '../../src/geometry/types.ts';
import { readScan } from '../../src/intake/readScan.ts';
import { DEFAULT_SCAN_SETTINGS } from '../../src/intake/settings.ts';
import type { Scan } from '../../src/intake/types.ts';
import { plyBytes } from '../cli/plyFile.ts';

/** A mesh in millimetres through a file's bytes (coordinates in single precision, as scanners write them) and the reader. */
export function toScan(mesh: TriangleMesh): Scan {
  return readScan(plyBytes(mesh), { ...DEFAULT_SCAN_SETTINGS, unit: 'mm' });
}
