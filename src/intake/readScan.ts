import { simplifierReady } from '../geometry/simplifyMesh.ts';
import type { Hooks } from '../geometry/types.ts';
import { explained } from './damage.ts';
import { readGltf } from './gltf.ts';
import { openGlb, openGltf } from './gltfContainer.ts';
import { unpackerReady } from './gltfMeshopt.ts';
import { readObj } from './obj.ts';
import { readPly } from './ply.ts';
import type { RawMesh } from './rawMesh.ts';
import { type Repaired, repairMesh } from './repair.ts';
import { repairWarnings } from './repairWarnings.ts';
import { type SniffedFormat, sniff } from './sniff.ts';
import { readStlAscii } from './stlAscii.ts';
import { readStlBinary } from './stlBinary.ts';
import { type Thinning, thinningWarning, thinRaw } from './thin.ts';
import { IntakeError, MM_PER_UNIT, type Scan, type ScanFormat, type ScanSettings } from './types.ts';
import { coarseCoordinates, greatestExtent, settleUnit } from './units.ts';

/** Settles when every kind of scan can be read, and thinned: parts of that are WebAssembly, which the platform starts. */
export const readerReady: Promise<void> = Promise.all([unpackerReady, simplifierReady]).then(() => undefined);

/**
 * Bytes of a scan → a surface fit to be measured. The content alone decides the format. `bytes` stay untouched.
 * Throws IntakeError with one plain sentence; an aborted signal throws its reason between steps. Await `readerReady`
 * once before, or compressed glTF may be refused and nothing thinned.
 */
export function readScan(bytes: Uint8Array, settings: ScanSettings, hooks: Hooks = {}): Scan {
  hooks.signal?.throwIfAborted();
  hooks.progress?.(0, 'reading');
  try {
    const { format, thinning, mesh, twins, patchedFrom, report, findings } = readRepaired(
      bytes,
      settings,
      hooks,
    );
    const settled = settleUnit(greatestExtent(mesh.positions), format, settings.unit);
    const factor = MM_PER_UNIT[settled.unit.unit];
    const coarse = coarseCoordinates(mesh.positions, factor);
    if (factor !== 1) for (let i = 0; i < mesh.positions.length; i++) mesh.positions[i] *= factor;
    const repair = { ...report, largestHoleLeft: report.largestHoleLeft * factor };
    const thinned = thinning === undefined ? undefined : { ...thinning, moved: thinning.moved * factor };
    const inMillimetres = { ...findings, largestHoleClosed: findings.largestHoleClosed * factor };
    hooks.progress?.(1, 'read');
    return {
      kind: 'scan',
      mesh,
      twins,
      ...(patchedFrom < mesh.triangles.length ? { patchedFrom } : {}),
      format,
      unit: settled.unit,
      repair,
      closed: repair.holesLeft === 0,
      ...(thinned === undefined ? {} : { thinned }),
      warnings: [
        ...settled.warnings,
        ...coarse,
        ...(thinned === undefined ? [] : [thinningWarning(thinned, mesh.triangles.length / 3)]),
        ...repairWarnings(repair, inMillimetres),
      ],
    };
  } catch (error) {
    // What engines throw when there is no memory for a typed array.
    if (error instanceof RangeError && /alloc|array length|memory/i.test(error.message)) {
      throw new IntakeError('too-large', 'There is not enough memory to read a scan of this size.');
    }
    throw error;
  }
}

interface Sound extends Repaired {
  readonly format: ScanFormat;
  readonly thinning: Thinning | undefined;
}

function readRepaired(bytes: Uint8Array, settings: ScanSettings, hooks: Hooks): Sound {
  const read = readRaw(bytes);
  const { format } = read;
  if (settings.thin === undefined) {
    hooks.progress?.(0.3, 'repairing');
    return { ...repairMesh(read.raw, settings, part(hooks, 0.3, 1)), format, thinning: undefined };
  }
  const { raw, thinning, found } = thinRaw(read.raw, settings.thin, part(hooks, 0.3, 0.8));
  // The whole mesh is not needed any more; whatever still points at it would hold its memory.
  read.raw = raw;
  const repaired = repairMesh(raw, settings, part(hooks, 0.8, 1));
  const report = thinning === undefined ? repaired.report : { ...repaired.report, ...found };
  return { ...repaired, report, format, thinning };
}

/** The surface as the file has it, in the file's own unit. */
export function readRaw(bytes: Uint8Array): { raw: RawMesh; readonly format: ScanFormat } {
  if (bytes.length === 0) throw new IntakeError('empty', 'The file is empty.');
  const sniffed = sniff(bytes);
  if ('foreign' in sniffed) throw new IntakeError('foreign', `The file is ${sniffed.foreign}.`);
  const { format, offset } = sniffed;
  try {
    return readAs(format, bytes, offset);
  } catch (error) {
    if (!(error instanceof IntakeError) || !isBinary(bytes, format)) throw error;
    throw explained(error, bytes, binaryFrom(bytes));
  }
}

function readAs(
  format: SniffedFormat,
  bytes: Uint8Array,
  offset: number,
): { raw: RawMesh; readonly format: ScanFormat } {
  switch (format) {
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

function isBinary(bytes: Uint8Array, format: SniffedFormat): boolean {
  if (format === 'ply') return /\nformat binary|\rformat binary/.test(headOf(bytes));
  return format === 'glb' || format === 'stl-binary';
}

/** Where text ends and the body begins: the lines of a PLY header may end in whichever way. */
function binaryFrom(bytes: Uint8Array): number {
  const at = headOf(bytes).indexOf('end_header');
  return at === -1 ? 0 : at + 'end_header\r\n'.length;
}

const headOf = (bytes: Uint8Array): string => String.fromCharCode(...bytes.subarray(0, 4096));

/** Hooks for one step of several: its 0…1 becomes from…to of the whole. */
function part({ progress, signal }: Hooks, from: number, to: number): Hooks {
  return {
    ...(signal === undefined ? {} : { signal }),
    ...(progress === undefined
      ? {}
      : { progress: (fraction: number, step: string) => progress(from + (to - from) * fraction, step) }),
  };
}
