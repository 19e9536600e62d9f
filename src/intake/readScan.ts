import type { Hooks } from '../geometry/types.ts';
import { readGltf } from './gltf.ts';
import { openGlb, openGltf } from './gltfContainer.ts';
import { readObj } from './obj.ts';
import { readPly } from './ply.ts';
import type { RawMesh } from './rawMesh.ts';
import { repairMesh } from './repair.ts';
import { repairWarnings } from './repairWarnings.ts';
import { sniff } from './sniff.ts';
import { readStlAscii } from './stlAscii.ts';
import { readStlBinary } from './stlBinary.ts';
import { IntakeError, MM_PER_UNIT, type Scan, type ScanFormat, type ScanSettings } from './types.ts';
import { coarseCoordinates, greatestExtent, settleUnit } from './units.ts';

export { unpackerReady } from './gltfMeshopt.ts';

/**
 * Bytes of a scan → a surface fit to be measured. The content alone decides the format. `bytes` stay untouched.
 * Throws IntakeError with one plain sentence; an aborted signal throws its reason between steps. Await `unpackerReady`
 * once before, or compressed glTF may be refused.
 */
export function readScan(bytes: Uint8Array, settings: ScanSettings, hooks: Hooks = {}): Scan {
  hooks.signal?.throwIfAborted();
  hooks.progress?.(0, 'reading');
  try {
    const { raw, format } = readRaw(bytes);
    hooks.progress?.(0.3, 'repairing');
    const { mesh, twins, report, findings } = repairMesh(raw, settings, later(hooks, 0.3));
    const settled = settleUnit(greatestExtent(mesh.positions), format, settings.unit);
    const factor = MM_PER_UNIT[settled.unit.unit];
    const coarse = coarseCoordinates(mesh.positions, factor);
    if (factor !== 1) for (let i = 0; i < mesh.positions.length; i++) mesh.positions[i] *= factor;
    const repair = { ...report, largestHoleLeft: report.largestHoleLeft * factor };
    const inMillimetres = { ...findings, largestHoleClosed: findings.largestHoleClosed * factor };
    hooks.progress?.(1, 'read');
    return {
      kind: 'scan',
      mesh,
      twins,
      format,
      unit: settled.unit,
      repair,
      closed: repair.holesLeft === 0,
      warnings: [...settled.warnings, ...coarse, ...repairWarnings(repair, inMillimetres)],
    };
  } catch (error) {
    // What engines throw when there is no memory for a typed array.
    if (error instanceof RangeError && /alloc|array length|memory/i.test(error.message)) {
      throw new IntakeError('too-large', 'There is not enough memory to read a scan of this size.');
    }
    throw error;
  }
}

/** The surface as the file has it, in the file's own unit. */
export function readRaw(bytes: Uint8Array): { raw: RawMesh; format: ScanFormat } {
  if (bytes.length === 0) throw new IntakeError('empty', 'The file is empty.');
  const sniffed = sniff(bytes);
  if ('foreign' in sniffed) throw new IntakeError('foreign', `The file is ${sniffed.foreign}.`);
  const { offset } = sniffed;
  switch (sniffed.format) {
    case 'ply':
      return { raw: readPly(bytes, offset), format: 'ply' };
    case 'stl-binary':
      return { raw: readStlBinary(bytes), format: 'stl' };
    case 'stl-ascii':
      return { raw: readStlAscii(bytes, offset), format: 'stl' };
    case 'obj':
      return { raw: readObj(bytes, offset), format: 'obj' };
    case 'gltf':
      return { raw: readGltf(openGltf(bytes, offset), bytes.length), format: 'gltf' };
    case 'glb':
      return { raw: readGltf(openGlb(bytes), bytes.length), format: 'glb' };
  }
}

/** Hooks for what is left of the work from the share `from` on. */
function later({ progress, signal }: Hooks, from: number): Hooks {
  return {
    ...(signal === undefined ? {} : { signal }),
    ...(progress === undefined
      ? {}
      : { progress: (fraction: number, step: string) => progress(from + (1 - from) * fraction, step) }),
  };
}
