import { sameNumber } from './comparedPiece.ts';
import type { Grouping, LeanPiece } from './lean.ts';
import type { Reading } from './repeatTypes.ts';

/** What tells that two records are of one piece. */
export const PIECE_MARKS = {
  number: 'the same catalogue number',
  file: 'the same file name up to its last - or _',
} as const;
export type PieceMark = keyof typeof PIECE_MARKS;

/** What is compared: who or what a reading is by. */
export const RATERS = {
  observer: 'observers',
  occasion: 'occasions',
  'observer-occasion': 'observers and occasions',
  kind: 'scan and photo',
  collection: 'collections',
  file: 'ends of file names',
  none: 'nobody in particular',
} as const;
export type Rater = keyof typeof RATERS;

/** Which records are a repeat set. `which`: keys of the pieces that may take part; all where it is absent. */
export interface RepeatQuestion {
  readonly mark: PieceMark;
  readonly raters: Rater;
  readonly which?: readonly string[];
}

export interface LeanReadings {
  readonly readings: readonly Reading[];
  /** Names of the pieces that have no mark to be told by. */
  readonly unmarked: readonly string[];
  /** Keys of the pieces behind each `piece` of the readings. */
  readonly keys: ReadonlyMap<string, readonly string[]>;
}

/** The pieces of a collection as readings, in their order. */
export function leanReadings(pieces: Iterable<LeanPiece>, question: RepeatQuestion): LeanReadings {
  const which = question.which === undefined ? undefined : new Set(question.which);
  const readings: Reading[] = [];
  const unmarked: string[] = [];
  const keys = new Map<string, string[]>();
  /** A piece is called as its first record writes it. */
  const names = new Map<string, string>();
  for (const one of pieces) {
    if (which !== undefined && !which.has(one.key)) continue;
    const written = question.mark === 'number' ? one.number : splitName(one.file).piece;
    if (written === undefined) {
      unmarked.push(one.name);
      continue;
    }
    const same = sameNumber(written);
    const piece = names.get(same) ?? written;
    names.set(same, piece);
    keys.set(piece, [...(keys.get(piece) ?? []), one.key]);
    readings.push({ piece, rater: raterOf(one, question.raters), label: one.file, values: knownU(one) });
  }
  return { readings, unmarked, keys };
}

function raterOf({ groups, file }: LeanPiece, raters: Rater): string {
  if (raters === 'none') return '';
  if (raters === 'file') return splitName(file).rest;
  const parts: readonly Grouping[] = raters === 'observer-occasion' ? ['observer', 'occasion'] : [raters];
  return parts.flatMap((part) => groups[part] ?? []).join(', ');
}

/** `a-1_anna` is piece `a-1` by `anna`; a name without a mark is all piece. */
function splitName(file: string): { readonly piece: string; readonly rest: string } {
  const [, piece, rest] = /^(.+)[-_]([^-_]*)$/.exec(file) ?? [];
  return piece === undefined ? { piece: file, rest: '' } : { piece, rest };
}

/** Lean pieces say of an uncertainty that is not known that it is no number. */
function knownU({ values }: LeanPiece): Reading['values'] {
  return new Map(
    [...values].map(([id, { value, u }]) => [id, { value, u: Number.isFinite(u) ? u : undefined }]),
  );
}
