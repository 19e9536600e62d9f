import type { Hooks } from '../geometry/types.ts';
import { readPly } from './ply.ts';
import { repairMesh } from './repair.ts';
import { readStlBinary } from './stl.ts';
import { MM_PER_UNIT, type Scan, type ScanSettings } from './types.ts';
import { greatestExtent, settleUnit } from './units.ts';

/**
 * Bytes of a scan → a surface fit to be measured. The content alone decides the format. `bytes` stay untouched.
 * Throws IntakeError with one plain sentence; an aborted signal throws its reason between steps.
 */
export function readScan(bytes: Uint8Array, settings: ScanSettings, hooks: Hooks = {}): Scan {
  hooks.signal?.throwIfAborted();
  hooks.progress?.(0, 'reading');
  const format = bytes[0] === 0x70 && bytes[1] === 0x6c && bytes[2] === 0x79 ? 'ply' : 'stl';
  const raw = format === 'ply' ? readPly(bytes) : readStlBinary(bytes);
  const { mesh, twins, report, closed, warnings } = repairMesh(raw, settings, hooks);
  const { unit, warnings: unitWarnings } = settleUnit(greatestExtent(mesh.positions), format, settings.unit);
  const factor = MM_PER_UNIT[unit.unit];
  for (let i = 0; i < mesh.positions.length; i++) mesh.positions[i] *= factor;
  hooks.progress?.(1, 'read');
  return {
    kind: 'scan',
    mesh,
    twins,
    format,
    unit,
    repair: { ...report, largestHoleLeft: report.largestHoleLeft * factor },
    closed,
    warnings: [...unitWarnings, ...warnings],
  };
}
