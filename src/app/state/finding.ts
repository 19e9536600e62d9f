import { createStore } from 'zustand/vanilla';
import type { SpecimenRecord } from '../../record/schema.ts';
import type { Piece } from './pieces.ts';

/** By what the drawer can be laid out: `opened` is the order in which pieces came in. */
export const SORTS = [
  'opened',
  'name',
  'number',
  'length',
  'width',
  'thickness',
  'width.thickness',
  'edge.angle.mean',
  'humps.count',
] as const;
export type SortId = (typeof SORTS)[number];

/** What is looked for in the drawer. An empty word lets everything through. */
export interface FindingState {
  readonly text: string;
  readonly warnings: '' | 'with' | 'without';
  readonly condition: string;
  readonly material: string;
  readonly collection: string;
  readonly sort: SortId;
  /** From small to large, from A to Z, from old to new. */
  readonly rising: boolean;
}

export const ALL_PIECES: FindingState = {
  text: '',
  warnings: '',
  condition: '',
  material: '',
  collection: '',
  sort: 'opened',
  rising: false,
};

export type FindingStore = ReturnType<typeof createFinding>;

/** What is looked for stays while one goes to the bench and back. */
export function createFinding() {
  const store = createStore<FindingState>(() => ALL_PIECES);
  return {
    ...store,
    set: (asked: Partial<FindingState>): void => store.setState(asked),
    /** Everything is shown again, in the order that was chosen. */
    clear(): void {
      const { sort, rising } = store.getState();
      store.setState({ ...ALL_PIECES, sort, rising });
    },
  };
}

/** Something besides the order is asked. */
export function isNarrowed({ text, warnings, condition, material, collection }: FindingState): boolean {
  return [text.trim(), warnings, condition, material, collection].some((asked) => asked !== '');
}

/** The pieces that fit, in the order that is asked for. Pieces that have no such number come last either way. */
export function findPieces(pieces: readonly Piece[], asked: FindingState): readonly Piece[] {
  return sortPieces(
    withWords(pieces, asked.text).filter((piece) => fits(piece, asked)),
    asked,
  );
}

/** The pieces of which every word of the text is written somewhere, as they stand. */
export function withWords(pieces: readonly Piece[], text: string): readonly Piece[] {
  const words = text.toLowerCase().split(/\s+/).filter(Boolean);
  return words.length === 0 ? pieces : pieces.filter((piece) => holds(piece, words));
}

function fits({ seen, catalogue }: Piece, asked: FindingState): boolean {
  const { warnings, condition, material, collection } = asked;
  if (condition !== '' && catalogue.condition !== condition) return false;
  if (material !== '' && catalogue.material !== material) return false;
  if (collection !== '' && catalogue.collection !== collection) return false;
  if (warnings === '') return true;
  // Of a piece that is not measured yet nobody knows.
  return seen !== undefined && seen.record.warnings.length > 0 === (warnings === 'with');
}

/** Every word stands somewhere in what is written of the piece. */
function holds(piece: Piece, words: readonly string[]): boolean {
  const { number, title, fileName, catalogue } = piece;
  const { notes, collection, material, observer } = catalogue;
  const written = [number, title, fileName, notes, collection, material, observer].join('\n').toLowerCase();
  return words.every((word) => written.includes(word));
}

/** QT 41/7 comes before QT 41/12. */
const inWords = new Intl.Collator('en', { numeric: true, sensitivity: 'base' });

function sortPieces(pieces: readonly Piece[], { sort, rising }: FindingState): readonly Piece[] {
  const sign = rising ? 1 : -1;
  if (sort === 'opened') return pieces.toSorted((a, b) => sign * (a.order - b.order));
  if (sort === 'name' || sort === 'number') {
    const word = (piece: Piece): string => (sort === 'name' ? piece.title : piece.number);
    return lastWhere(
      pieces,
      (piece) => word(piece) === '',
      (a, b) => sign * inWords.compare(word(a), word(b)),
    );
  }
  const value = (piece: Piece): number => numberOf(piece.seen?.record, sort) ?? NaN;
  return lastWhere(
    pieces,
    (piece) => Number.isNaN(value(piece)),
    (a, b) => sign * (value(a) - value(b)),
  );
}

function lastWhere(
  pieces: readonly Piece[],
  lacks: (piece: Piece) => boolean,
  compare: (a: Piece, b: Piece) => number,
): readonly Piece[] {
  return [...pieces.filter((piece) => !lacks(piece)).toSorted(compare), ...pieces.filter(lacks)];
}

/** A measure's number; null where the piece is not measured or the measure does not apply. */
export function numberOf(record: SpecimenRecord | undefined, id: string): number | null {
  const value = record?.measurements.find((measurement) => measurement.id === id)?.value;
  return typeof value === 'number' ? value : null;
}

/** The words that pieces have in one field of their description, A to Z. */
export function wordsIn(
  pieces: readonly Piece[],
  field: 'material' | 'collection' | 'condition',
): readonly string[] {
  const words = new Set(pieces.flatMap(({ catalogue }) => catalogue[field] ?? []));
  return [...words].toSorted(inWords.compare);
}
