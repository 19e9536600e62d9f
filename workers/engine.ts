import type { Hooks } from '../src/geometry/types.ts';
import { type MeasuredScan, measureScan } from '../src/record/measureScan.ts';
import type { Catalogue } from '../src/record/schema.ts';
import type { AllSettings } from '../src/record/settings.ts';

/** One scan to be measured. The same request goes to the browser's workers and to Node's worker threads. */
export interface MeasureJob {
  readonly bytes: Uint8Array;
  readonly fileName: string;
  readonly settings: AllSettings;
  readonly catalogue?: Catalogue;
}

/** Measures one scan. Plain function: workers only carry its arguments in and its result out. */
export function runMeasureJob(job: MeasureJob, hooks: Hooks = {}): Promise<MeasuredScan> {
  return measureScan(job.bytes, job.fileName, job.settings, hooks, job.catalogue);
}

/** Every buffer of typed arrays in a result, once each, so that a worker may hand them over without a copy. */
export function buffersOf(value: unknown, found: Set<ArrayBuffer> = new Set()): ArrayBuffer[] {
  if (ArrayBuffer.isView(value)) {
    if (value.buffer instanceof ArrayBuffer) found.add(value.buffer);
  } else if (Array.isArray(value)) {
    if (typeof value[0] === 'object') for (const item of value) buffersOf(item, found);
  } else if (typeof value === 'object' && value !== null) {
    for (const item of Object.values(value)) buffersOf(item, found);
  }
  return [...found];
}

/** How an error crosses from a worker: class names do not survive the structured clone. */
export interface JobFailure {
  /** `IntakeError`, `TraceError`, `RecordError`: the file is at fault; anything else: the program is. */
  readonly name: string;
  readonly code: string;
  readonly message: string;
}

const FILE_FAULTS: readonly string[] = ['IntakeError', 'TraceError', 'RecordError'];

export function toFailure(error: unknown): JobFailure {
  if (!(error instanceof Error)) return { name: 'Error', code: 'fault', message: String(error) };
  const code = 'code' in error && typeof error.code === 'string' ? error.code : 'fault';
  return { name: error.name, code, message: error.message };
}

/** The failure lies in the file that was given, and its message is a sentence for the person who gave it. */
export function isFileFault(failure: JobFailure): boolean {
  return FILE_FAULTS.includes(failure.name);
}
