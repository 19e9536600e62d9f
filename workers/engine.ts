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
