import type { Drawing, MeasuredPiece, Photograph, TracedPiece } from '../../../workers/messages.ts';
import type { SpecimenRecord } from '../../record/schema.ts';
import type { ViewName } from '../../trace/types.ts';
import type { Fault } from './fault.ts';
import type { HandGuess } from './handCheck.ts';
import { answers, type Piece } from './pieces.ts';
import { type SettingsHistory, UNTOUCHED } from './settingsHistory.ts';

export type Phase = 'empty' | 'working' | 'ready' | 'cancelled' | 'failed';

export interface Progress {
  readonly fraction: number;
  readonly step: string;
}

/** What the next click or drag on a drawing does besides pointing. */
export type Tool =
  | 'base'
  | 'tip'
  | 'break'
  | 'exclude'
  | 'scale'
  | 'edge'
  | 'paint-in'
  | 'paint-out'
  | 'move-line';

export interface BenchState {
  readonly piece: Piece | null;
  readonly phase: Phase;
  readonly progress: Progress;
  readonly fault: Fault | null;
  readonly history: SettingsHistory;
  /** The history as it was when the numbers on show were measured. */
  readonly settled: SettingsHistory;
  /** What is drawn; stays on show while a change of settings is being measured. */
  readonly traced: TracedPiece | null;
  /** The photograph that the piece is measured from; null for scans, and until it is read. */
  readonly photograph: Photograph | null;
  /** Further photographs of the piece, by their names among those of the piece. */
  readonly views: Readonly<Record<string, Photograph>>;
  /** The photograph whose scale and pieces are spoken of. */
  readonly inHand: ViewName | 'A';
  readonly measured: MeasuredPiece | null;
  /** The place along the length that all views point at, percent from the base. */
  readonly station: number;
  /** Number of the hump that is chosen, in the record's order; null for none. */
  readonly hump: number | null;
  readonly tool: Tool | null;
  /** Why the last correction of an outline was left out again, one sentence; null when it was not. */
  readonly refused: string | null;
  /** The measure whose geometry is drawn on the piece. */
  readonly shown: string | null;
  /** What was read by hand while the computed answers are hidden; null when there is no hand check. */
  readonly handCheck: HandGuess | null;
}

/** Nothing lies on the bench. */
export const EMPTY: BenchState = {
  piece: null,
  phase: 'empty',
  progress: { fraction: 0, step: '' },
  fault: null,
  history: UNTOUCHED,
  settled: UNTOUCHED,
  traced: null,
  photograph: null,
  views: {},
  inHand: 'A',
  measured: null,
  station: 50,
  hump: null,
  tool: null,
  refused: null,
  shown: null,
  handCheck: null,
};

/** Of a scan whose numbers are known; a photograph is looked at in its picture, which must be read first. */
export function numbersOf(seen: MeasuredPiece, history: SettingsHistory): Partial<BenchState> {
  if (seen.record.source.kind !== 'scan' || !answers(seen, history)) return {};
  return { measured: unpackedOf(seen), station: thickestAt(seen.record) };
}

/** Unpacked once: the views ask for every part of it, again and again. */
export function unpackedOf({ drawn: _, ...seen }: MeasuredPiece): MeasuredPiece {
  return { ...seen, record: { ...seen.record } };
}

/** What is drawn, to be kept; undefined where some of it is missing. */
export function drawingOf({ traced, measured, photograph, views }: BenchState): Drawing | undefined {
  if (photograph !== null) return { photograph: { ...photograph, lines: undefined }, views };
  return traced !== null && measured?.drawn !== undefined ? { traced, drawn: measured.drawn } : undefined;
}

/** Where one looks first: the station at which the piece is thickest. */
export function thickestAt({ measurements }: SpecimenRecord): number {
  const station = measurements.find(({ id }) => id === 'thickness.station')?.value;
  return typeof station === 'number' ? Math.round(station) : 50;
}
