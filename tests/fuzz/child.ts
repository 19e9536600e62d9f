import { caseOf, judge, MOST_MEMORY } from './subject.ts';
import { SUBJECTS } from './subjects.ts';

/** What a process that runs cases tells the one that watches it. */
export type Told =
  | { readonly at: number; readonly what: string }
  | { readonly slow: number; readonly what: string }
  | { readonly failed: number; readonly what: string; readonly why: string }
  | { readonly done: true; readonly cases: number; readonly refused: number };

export interface Order {
  readonly reader: string;
  readonly seed: number;
  /** Number of the first case; cases below 0 are the files made to hurt. */
  readonly from: number;
  readonly until: number;
}

export const READERS = SUBJECTS.map(({ name }) => name);

let hostile:
  | { readonly reader: string; readonly files: ReturnType<(typeof SUBJECTS)[number]['hostile']> }
  | undefined;

/** Bytes of a case by its number; negative numbers count through the files made to hurt. */
export function bytesOf(reader: string, seed: number, number: number): { what: string; bytes: Uint8Array } {
  const subject = SUBJECTS.find(({ name }) => name === reader);
  if (subject === undefined)
    throw new Error(`no reader is called ${reader}; known ones are ${READERS.join(', ')}`);
  if (number >= 0) return { what: `seed ${seed}, case ${number}`, bytes: caseOf(subject, seed, number) };
  if (hostile?.reader !== reader) hostile = { reader, files: subject.hostile() };
  const [what, bytes] = hostile.files[-1 - number];
  return { what, bytes };
}

/** Runs cases until the time is up; the process is to be watched from outside, because a hang can't see itself. */
export async function runCases(
  { reader, seed, from, until }: Order,
  tell: (told: Told) => Promise<void>,
): Promise<void> {
  const subject = SUBJECTS.find(({ name }) => name === reader);
  if (subject === undefined) throw new Error(`no reader is called ${reader}`);
  let refused = 0;
  let number = from;
  const numHostile = from < 0 ? subject.hostile().length : 0;
  for (number = Math.max(from, -numHostile); Date.now() < until; number++) {
    const { what, bytes } = bytesOf(reader, seed, number);
    // Waited for: a case that hangs would hold back what was told of it.
    await tell({ at: number, what });
    const start = performance.now();
    const before = process.resourceUsage().maxRSS * 1024;
    try {
      if ((await judge(subject, bytes)) === 'refused') refused += 1;
      const seconds = (performance.now() - start) / 1000;
      if (seconds > 1) await tell({ slow: seconds, what });
      const peak = process.resourceUsage().maxRSS * 1024;
      if (peak > MOST_MEMORY && before <= MOST_MEMORY)
        throw new Error(`brought the process from ${megabytes(before)} to ${megabytes(peak)} of memory`);
    } catch (error) {
      await tell({
        failed: number,
        what,
        why: error instanceof Error ? (error.stack ?? error.message) : String(error),
      });
    }
  }
  await tell({ done: true, cases: number - Math.max(from, -numHostile), refused });
}

const megabytes = (bytes: number): string => `${Math.round(bytes / 2 ** 20)} MB`;
