import { InvalidArgumentError } from 'commander';
import type { LengthUnit } from '../intake/types.ts';
import { type AllSettings, verifySettings } from '../record/settings.ts';
import type { AxisId } from '../trace/types.ts';

/** Options of `measure` that stand for settings, as commander hands them over. */
export interface SettingOptions {
  readonly unit?: LengthUnit;
  readonly axis?: AxisId;
  readonly base?: readonly number[];
  readonly tip?: readonly number[];
  readonly flipFace?: true;
  readonly flipTip?: true;
  readonly density?: number;
  readonly mass?: number;
  readonly stations?: readonly number[];
}

/** Lays what was typed over the settings of a file (or the defaults). Throws a RecordError for what can't be used. */
export function settingsFrom(options: SettingOptions, file: AllSettings): AllSettings {
  const { unit, axis, base, tip, flipFace, flipTip, density, mass, stations } = options;
  return verifySettings({
    scan: { ...file.scan, ...present({ unit }) },
    trace: { ...file.trace, ...present({ axis, base, tip, flipFace, flipTip }) },
    measure: { ...file.measure, ...present({ density, mass, sectionStations: stations }) },
  });
}

function present(entries: Readonly<Record<string, unknown>>): Record<string, unknown> {
  return Object.fromEntries(Object.entries(entries).filter(([, value]) => value !== undefined));
}

export function parseNumber(text: string): number {
  const value = Number(text);
  if (text.trim() === '' || !Number.isFinite(value)) throw new InvalidArgumentError('It must be a number.');
  return value;
}

/** `10,20,50` → [10, 20, 50]. */
export function parseList(text: string): number[] {
  return text.split(',').map(parseNumber);
}

export function parseCount(text: string): number {
  const value = parseNumber(text);
  if (!Number.isInteger(value) || value < 1) {
    throw new InvalidArgumentError('It must be a whole number, 1 or more.');
  }
  return value;
}
