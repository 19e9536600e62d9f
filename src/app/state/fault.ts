import { isFileFault, type JobFailure } from '../../../workers/failure.ts';

/** Something that went wrong, in words for the person at the bench. */
export interface Fault {
  readonly code: string;
  /** One sentence: what is wrong. */
  readonly what: string;
  /** One sentence: what to do next. */
  readonly next: string;
}

/** What to do next, by the stable code of the failure. */
const NEXT: Readonly<Record<string, string>> = {
  'file-missing': 'Open the scan again from where it is kept.',
  'demo-missing': 'Reload the page; if it stays so, the demo drawer was not installed with it.',
};

const CHOOSE_ANOTHER =
  'Nothing was measured. Export the scan again from where it was made, or open another file.';
const REPORT =
  'This is a fault of the program, not of the scan. Open the file again; if it comes back, please report it with the file.';

export function faultOf(failure: JobFailure): Fault {
  const { code, message } = failure;
  if (isFileFault(failure)) return { code, what: message, next: NEXT[code] ?? CHOOSE_ANOTHER };
  return { code, what: message || 'The program stopped while it was measuring.', next: REPORT };
}

export function faultFromCode(code: keyof typeof NEXT & string, what: string): Fault {
  return { code, what, next: NEXT[code] };
}
