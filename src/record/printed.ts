import type { Measurement } from '../measures/types.ts';
import { roughOf, roughSign } from './rough.ts';
import { printMeasured } from './rounding.ts';

/** A value and its standard uncertainty as text, to the same place. */
export interface PrintedValue {
  readonly value: string;
  /** Two significant figures; empty where there is none. */
  readonly u: string;
}

/** Figures shown of a value whose uncertainty is not known, so that it does not look more certain than it is. */
const BARE_FIGURES = 4;

/** A number by its standard uncertainty; a count, and what has none, to four figures. Points and hyphens as in data. */
export function printFigures(value: number, { u, unit }: Pick<Measurement, 'u' | 'unit'>): PrintedValue {
  if (u !== undefined && u > 0 && unit !== 'count') return printMeasured(value, u);
  const decimals = Math.max(0, BARE_FIGURES - 1 - Math.floor(Math.log10(Math.max(1, Math.abs(value)))));
  return { value: String(Number(value.toFixed(Math.min(decimals, 3)))), u: '' };
}

/** A measurement as people are shown it: true minus, groups of three, the sign of a rough value. Null where there is none. */
export function printValue(measurement: Measurement): PrintedValue | null {
  const { value } = measurement;
  if (value === null) return null;
  if (typeof value === 'string') return { value, u: '' };
  const printed = printFigures(value, measurement);
  return { value: roughSign(roughOf(measurement)) + typeset(printed.value), u: typeset(printed.u) };
}

/** Hyphen becomes a minus; five or more digits before the point are grouped by narrow spaces. */
export function typeset(number: string): string {
  const [whole, fraction] = number.replace('-', '−').split('.');
  const digits = whole.replace('−', '');
  const grouped =
    digits.length > 4 && /^\d+$/.test(digits) ? whole.replace(/\B(?=(\d{3})+$)/g, '\u202f') : whole;
  return fraction === undefined ? grouped : `${grouped}.${fraction}`;
}
