import { isFileFault, type JobFailure } from '../../../workers/failure.ts';
import type { ViewName } from '../../trace/types.ts';
import { VIEW_WORDS } from '../words/viewWords.ts';

/** Something that went wrong, in words for the person at the bench. */
export interface Fault {
  readonly code: string;
  /** One sentence: what is wrong. */
  readonly what: string;
  /** One sentence: what to do next. */
  readonly next: string;
  /** Where memory is short: to how many triangles the scan is best thinned. */
  readonly thinTo?: number;
  /** The further photograph that is at fault. */
  readonly view?: ViewName;
}

/** Nothing is wrong with the scan, but it may be too large for this browser. */
export const MEMORY_SHORT = 'memory-short';

/** What to do next, by the stable code of the failure. */
const NEXT: Readonly<Record<string, string>> = {
  'worker-died':
    'Open the piece again from the drawer; if it stops again, close other pages, or thin the scan before opening it.',
  [MEMORY_SHORT]:
    'Thin it where it was made, or try it whole: should the browser run out of memory, the drawer is kept.',
  'file-missing': 'Open its file again from where it is kept.',
  'demo-missing': 'Reload the page; if it stays so, the demo drawer was not installed with it.',
  'scale-missing': 'Tell its scale on the bench: by a bar, two points, or pixels in a millimetre.',
  'scale-ambiguous': 'Tell its scale on the bench: by a bar, two points, or pixels in a millimetre.',
  'scale-settings': 'Tell its scale on the bench: by a bar, two points, or pixels in a millimetre.',
  'no-such-piece': 'Choose another on the bench.',
  'no-piece': 'Nothing was measured. Take the picture again, or open another file.',
  'piece-small': 'Nothing was measured. Take the picture from nearer, or open another file.',
  'broken-picture': 'Nothing was measured. Save the picture again, or open another file.',
};

/** What a person can put right at the bench, with the same file. */
const HELPED: readonly string[] = [
  'scale-missing',
  'scale-ambiguous',
  'scale-settings',
  'no-such-piece',
  MEMORY_SHORT,
];

const THIN_IT =
  'Thin it before it is measured, which its uncertainties will show, or try it whole: should the browser run out of memory, the drawer is kept.';
const CHOOSE_ANOTHER = 'Nothing was measured. Take the file again from where it was made, or open another.';
const REPORT =
  'This is a fault of the program, not of the file. Open the file again; if it comes back, please report it with the file.';

export function faultOf(failure: JobFailure): Fault {
  const { code, thinTo, view } = failure;
  // As the page calls the view.
  const message =
    view === undefined ? failure.message : failure.message.replace(/^View \w+:/, `${VIEW_WORDS[view]}:`);
  if (isFileFault(failure)) {
    const next = thinTo === undefined ? (NEXT[code] ?? CHOOSE_ANOTHER) : THIN_IT;
    const ways = { ...(thinTo === undefined ? {} : { thinTo }), ...(view === undefined ? {} : { view }) };
    return { code, what: message, next, ...ways };
  }
  return { code, what: message || 'The program stopped while it was measuring.', next: NEXT[code] ?? REPORT };
}

export function faultFromCode(code: keyof typeof NEXT & string, what: string): Fault {
  return { code, what, next: NEXT[code] };
}

/** The file can't be had, whatever is in it. */
export function isFileGone({ code }: Pick<Fault, 'code'>): boolean {
  return code === 'file-missing' || code === 'demo-missing';
}

/** The file is good and lacks only what a person can tell of it. */
export function needsHand({ code, view }: Pick<Fault, 'code' | 'view'>): boolean {
  return view !== undefined || HELPED.includes(code);
}
