import type { Hooks } from '../geometry/types.ts';
import { readerReady, readScan } from '../intake/readScan.ts';
import type { Scan } from '../intake/types.ts';
import { measure } from '../measures/measure.ts';
import type { MeasureResult } from '../measures/types.ts';
import { traceScan } from '../trace/traceScan.ts';
import type { Model } from '../trace/types.ts';
import type { Catalogue, SpecimenRecord } from './schema.ts';
import type { AllSettings } from './settings.ts';
import { sha256Hex } from './sha256.ts';
import { scanSource, toRecord } from './toRecord.ts';

/** A scan measured: the record, and what it was made from for those who draw. */
export interface MeasuredScan {
  readonly record: SpecimenRecord;
  readonly scan: Scan;
  readonly model: Model;
  readonly result: MeasureResult;
}

/**
 * The whole walk of a scan, from the bytes of a file to its record. `fileName` is kept without folders.
 * Throws IntakeError, TraceError or RecordError with one plain sentence; an aborted signal throws its reason.
 */
export async function measureScan(
  bytes: Uint8Array,
  fileName: string,
  settings: AllSettings,
  hooks: Hooks = {},
  catalogue: Catalogue = {},
): Promise<MeasuredScan> {
  const sha256 = await sha256Hex(bytes);
  await readerReady;
  hooks.signal?.throwIfAborted();
  const scan = readScan(bytes, settings.scan, share(hooks, 0, 0.3));
  const model = traceScan(scan, settings.trace, share(hooks, 0.3, 0.7));
  const result = measure(model, settings.measure, share(hooks, 0.7, 1));
  const file = { file: baseName(fileName), sha256, bytes: bytes.byteLength };
  const source = scanSource(file, scan, model);
  const record = toRecord({ source, model, result, settings, catalogue, warnings: scan.warnings });
  return { record, scan, model, result };
}

/** The part of a path after its last slash or backslash. */
export function baseName(path: string): string {
  return path.slice(Math.max(path.lastIndexOf('/'), path.lastIndexOf('\\')) + 1);
}

/** Hooks for one step of several: its 0…1 becomes from…to of the whole. */
export function share(hooks: Hooks, from: number, to: number): Hooks {
  const { progress, signal } = hooks;
  return {
    ...(signal === undefined ? {} : { signal }),
    ...(progress === undefined
      ? {}
      : { progress: (fraction: number, step: string) => progress(from + (to - from) * fraction, step) }),
  };
}
