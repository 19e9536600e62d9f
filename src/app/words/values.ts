import { roughOf, roughSign } from '../../drawer/rough.ts';
import type { Measurement, MeasureUnit } from '../../measures/types.ts';
import { UNIT_SIGNS } from '../../measures/unitSigns.ts';
import { printMeasured } from '../../record/rounding.ts';

const SPOKEN: Readonly<Record<MeasureUnit, string>> = {
  mm: 'millimetres',
  mm2: 'square millimetres',
  mm3: 'cubic millimetres',
  deg: 'degrees',
  percent: 'percent',
  per_cm: 'per centimetre',
  g: 'grams',
  g_per_cm2: 'grams per square centimetre',
  '1': '',
  text: '',
  count: '',
};

export interface Printed {
  readonly value: string;
  /** Two significant figures; empty where there is none. */
  readonly u: string;
  readonly unit: string;
  /** The whole in words for a screen reader. */
  readonly spoken: string;
}

/** A measurement as it is shown: true minus, groups of three, value and u to the same place. */
export function printMeasurement(measurement: Measurement): Printed | null {
  const { value, u, unit, minimum, estimated } = measurement;
  if (value === null) return null;
  if (typeof value === 'string') return { value, u: '', unit: '', spoken: value };
  const printed = u !== undefined && u > 0 && unit !== 'count' ? printMeasured(value, u) : printBare(value);
  const rough = roughOf(measurement);
  const spokenU = printed.u === '' ? '' : ` plus or minus ${printed.u}`;
  return {
    value: roughSign(rough) + typeset(printed.value),
    u: typeset(printed.u),
    unit: UNIT_SIGNS[unit],
    spoken:
      `${minimum ? 'at least ' : estimated ? 'estimated ' : ''}${printed.value}${spokenU} ${SPOKEN[unit]}`.trim(),
  };
}

/** Figures shown of a value whose uncertainty is not known, so that it does not look more certain than it is. */
const BARE_FIGURES = 4;

/** A number and its standard uncertainty, to two figures of this. */
export function printWithU(value: number, u: number): Pick<Printed, 'value' | 'u'> {
  const printed = printMeasured(value, u);
  return { value: typeset(printed.value), u: typeset(printed.u) };
}

function printBare(value: number): { value: string; u: string } {
  const decimals = Math.max(0, BARE_FIGURES - 1 - Math.floor(Math.log10(Math.max(1, Math.abs(value)))));
  return { value: String(Number(value.toFixed(Math.min(decimals, 3)))), u: '' };
}

/** A number to so many decimals, set like the ledger's. */
export function printNumber(value: number, decimals: number): string {
  const fixed = value.toFixed(decimals);
  return typeset(Number(fixed) === 0 ? (0).toFixed(decimals) : fixed);
}

export function unitSign(unit: MeasureUnit): string {
  return UNIT_SIGNS[unit];
}

/** Hyphen becomes a minus; five or more digits before the point are grouped by narrow spaces. */
function typeset(number: string): string {
  const [whole, fraction] = number.replace('-', '−').split('.');
  const digits = whole.replace('−', '');
  const grouped =
    digits.length > 4 && /^\d+$/.test(digits) ? whole.replace(/\B(?=(\d{3})+$)/g, '\u202f') : whole;
  return fraction === undefined ? grouped : `${grouped}.${fraction}`;
}
