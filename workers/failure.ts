import { ViewError } from '../src/record/viewError.ts';
import type { ViewName } from '../src/trace/types.ts';

/** How an error crosses from a worker: class names do not survive the structured clone. */
export interface JobFailure {
  /** `IntakeError`, `TraceError`, `RecordError`: the file is at fault; anything else: the program is. */
  readonly name: string;
  readonly code: string;
  readonly message: string;
  /** Where memory is short: to how many triangles the scan is best thinned; absent where thinning would not do. */
  readonly thinTo?: number;
  /** The further photograph in which the fault lies. */
  readonly view?: ViewName;
}

const FILE_FAULTS: readonly string[] = ['IntakeError', 'TraceError', 'RecordError'];

export function toFailure(error: unknown): JobFailure {
  if (!(error instanceof Error)) return { name: 'Error', code: 'fault', message: String(error) };
  const code = 'code' in error && typeof error.code === 'string' ? error.code : 'fault';
  const { name, message } = error;
  return { name, code, message, ...(error instanceof ViewError ? { view: error.view } : {}) };
}

/** The failure lies in the file that was given, and its message is a sentence for the person who gave it. */
export function isFileFault(failure: JobFailure): boolean {
  return FILE_FAULTS.includes(failure.name);
}
