import { ArchiveError } from '../../src/drawer/archive.ts';
import { IntakeError } from '../../src/intake/types.ts';
import { RecordError } from '../../src/record/schema.ts';
import { TraceError } from '../../src/trace/types.ts';
import { mutate, mutateText, randomOf } from './mutate.ts';

/** One reader of files that come from outside, with good files to spoil. */
export interface Subject {
  readonly name: string;
  /** Good files, small; each is read. */
  readonly good: readonly Uint8Array[];
  /** Words are mutated as well as bytes. */
  readonly text: boolean;
  /** Files made to hurt, with what they are. Some may be sound: then they are read, and soon. */
  readonly hostile: () => readonly (readonly [what: string, bytes: Uint8Array])[];
  /** Reads, and throws a plain Error where what was read is unsound. */
  read(bytes: Uint8Array): Promise<void>;
}

export type Verdict = 'read' | 'refused';

/** A hang shows as a time far beyond what so small a file takes: its own work, whatever else the machine does meanwhile. */
export const LONGEST_MS = 5000;
/** What does no work ends some time too. */
const LONGEST_WAIT_MS = 30_000;
/** No file of the run, all below 2 MB, may bring the process over so much resident memory. */
export const MOST_MEMORY = 1024 * 2 ** 20;
/** A sentence that fits on a screen: no control characters, not the file's own megabytes. */
const LONGEST_SENTENCE = 600;

/** A sound result or one sentence of a typed error, soon, and nothing else touched; anything else throws. */
export async function judge(subject: Subject, bytes: Uint8Array): Promise<Verdict> {
  const before = bytes.slice();
  const start = performance.now();
  const worked = process.cpuUsage();
  let verdict: Verdict = 'read';
  try {
    await subject.read(bytes);
  } catch (error) {
    if (!isTyped(error)) throw error;
    verifySentence(error.message);
    verdict = 'refused';
  }
  const waited = performance.now() - start;
  const { user, system } = process.cpuUsage(worked);
  // Other threads of the process work at the same time: no case took longer than the clock says.
  const took = waited > LONGEST_WAIT_MS ? waited : Math.min(waited, (user + system) / 1000);
  if (took > LONGEST_MS) throw new Error(`took ${(took / 1000).toFixed(1)} s`);
  if (Buffer.compare(before, bytes) !== 0) throw new Error('the reader wrote on its input');
  if ('polluted' in {}) throw new Error('a prototype was polluted');
  return verdict;
}

function isTyped(error: unknown): error is Error {
  return (
    error instanceof IntakeError ||
    error instanceof RecordError ||
    error instanceof ArchiveError ||
    error instanceof TraceError
  );
}

function verifySentence(message: string): void {
  const shown = message.slice(0, 200);
  if (message.length > LONGEST_SENTENCE)
    throw new Error(`not a sentence but ${message.length} letters: ${shown}`);
  if (!/^[\p{L}“"/-].*\.$/u.test(message) || /\p{Control}/u.test(message))
    throw new Error(`not a sentence: ${JSON.stringify(shown)}`);
}

/** The bytes of one case of a run: the same for the same seed and number, whatever came before. */
export function caseOf(subject: Subject, seed: number, number: number): Uint8Array {
  const random = randomOf(Math.imul(seed + 1, 0x9e3779b1) ^ Math.imul(number + 1, 0x85ebca6b));
  const good = subject.good[number % subject.good.length];
  return subject.text && random() < 0.6 ? mutateText(good, random) : mutate(good, random);
}

/** Anything that is no finite number in plain data and typed arrays, with its path. */
export function findUnsound(value: unknown, path = ''): string | undefined {
  if (typeof value === 'number') return Number.isFinite(value) ? undefined : `${path} is ${value}`;
  if (typeof value !== 'object' || value === null) return undefined;
  for (const [key, inner] of Object.entries(value)) {
    const found = findUnsound(inner, `${path}/${key}`);
    if (found !== undefined) return found;
  }
  return undefined;
}
