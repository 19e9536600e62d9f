import type { MeasuredPiece } from '../../../workers/messages.ts';
import type { Packed } from '../../../workers/packing.ts';
import type { AllSettings } from '../../record/settings.ts';
import { DEFAULT_PHOTO_SETTINGS } from '../../trace/settings.ts';
import { type PackedParts, partsOf, recordOfParts } from '../state/packedRecord.ts';

/** What was measured of a piece and with what: it answers for nothing else. */
export interface KeptMeasured {
  /** Of the piece. */
  readonly id: string;
  readonly engine: string;
  /** Of the scan, as its record has it. */
  readonly sha256: string;
  /** Tells the scan's content where that is known without reading it; empty elsewhere. */
  readonly mark: string;
  readonly settings: string;
  /** Packed: thousands of small arrays are written and read many times as fast so. */
  readonly record: PackedParts;
  readonly pictures: Omit<MeasuredPiece, 'record' | 'drawn' | 'packed'>;
}

/** What is drawn of a measured piece on the bench. */
export interface KeptDrawing {
  /** Of the piece. */
  readonly id: string;
  /** Names the measured that it was drawn of. */
  readonly name: string;
  /** When it was kept, ms since 1970; and its bytes. */
  readonly at: number;
  readonly size: number;
  readonly packed: Packed;
}

/** Why a piece is measured again although it was measured before. */
export type Anew = 'program' | 'settings' | 'scan';

/** What can be said of a piece before its scan is read. */
export interface Asking {
  readonly engine: string;
  readonly mark: string;
  readonly settings: AllSettings;
}

/**
 * What is kept of a measured piece, whose record is packed: the numbers and the pictures, without what only the bench
 * draws. Null where the record could not be packed.
 */
export async function toKeptMeasured(
  id: string,
  engine: string,
  mark: string,
  seen: MeasuredPiece,
): Promise<KeptMeasured | null> {
  const { drawn: _, packed: __, record, ...pictures } = seen;
  const parts = await partsOf(record);
  return parts && { id, ...factsOf(engine, mark, seen), record: parts, pictures };
}

/** What the measured of a piece is known by. */
export type MeasuredFacts = Pick<KeptMeasured, 'engine' | 'mark' | 'sha256' | 'settings'>;

export function factsOf(engine: string, mark: string, seen: MeasuredPiece): MeasuredFacts {
  return { engine, mark, sha256: seen.record.source.sha256, settings: settingsKey(askedOf(seen)) };
}

/** The same measuring gives the same name. */
export function measuredName({ engine, mark, sha256, settings }: MeasuredFacts): string {
  return [engine, mark, sha256, settings].join('\n');
}

export function fromKeptMeasured({ record, pictures }: KeptMeasured): MeasuredPiece {
  return { ...pictures, record: recordOfParts(record) };
}

/** Null where what was kept answers what is asked; whether the scan is still the same shows when it is read. */
export function whyAnew(kept: KeptMeasured, asking: Asking): Anew | null {
  if (kept.mark !== asking.mark) return 'scan';
  if (kept.settings !== settingsKey(asking.settings)) return 'settings';
  return kept.engine === asking.engine ? null : 'program';
}

/** The settings that a piece was measured with, as its history has them. */
export function askedOf({ asked, record }: MeasuredPiece): AllSettings {
  return asked ?? record.settings;
}

/** The same words for the same settings, in whatever order they were said. */
export function settingsKey(settings: AllSettings): string {
  const { photo = DEFAULT_PHOTO_SETTINGS, ...scan } = settings;
  return JSON.stringify(sorted({ ...scan, photo }));
}

function sorted(value: unknown): unknown {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  const entries = Object.entries(value).filter(([, part]) => part !== undefined);
  return Object.fromEntries(
    entries.toSorted(([a], [b]) => (a < b ? -1 : 1)).map(([key, part]) => [key, sorted(part)]),
  );
}
