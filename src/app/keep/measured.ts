import type { MeasuredPiece } from '../../../workers/messages.ts';
import type { AllSettings } from '../../record/settings.ts';
import { DEFAULT_PHOTO_SETTINGS } from '../../trace/settings.ts';

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
  /** As JSON: thousands of small arrays are written and read several times as fast so. */
  readonly record: string;
  readonly pictures: Omit<MeasuredPiece, 'record' | 'drawn'>;
}

/** Why a piece is measured again although it was measured before. */
export type Anew = 'program' | 'settings' | 'scan';

/** What can be said of a piece before its scan is read. */
export interface Asking {
  readonly engine: string;
  readonly mark: string;
  readonly settings: AllSettings;
}

/** What is kept of a measured piece: the numbers and the pictures, without what only the bench draws. */
export function toKeptMeasured(id: string, engine: string, mark: string, seen: MeasuredPiece): KeptMeasured {
  const { drawn: _, record, ...pictures } = seen;
  const { sha256 } = record.source;
  const settings = settingsKey(askedOf(seen));
  return { id, engine, mark, sha256, settings, record: JSON.stringify(record), pictures };
}

export function fromKeptMeasured({ record, pictures }: KeptMeasured): MeasuredPiece {
  return { ...pictures, record: JSON.parse(record) };
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
