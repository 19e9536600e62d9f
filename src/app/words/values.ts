import type { Measurement, MeasureUnit } from '../../measures/types.ts';
import { UNIT_SIGNS } from '../../measures/unitSigns.ts';
import { type PrintedValue, printFigures, printValue, typeset } from '../../record/printed.ts';
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

export interface Printed extends PrintedValue {
  readonly unit: string;
  /** The whole in words for a screen reader. */
  readonly spoken: string;
}

/** A measurement as it is shown: true minus, groups of three, value and u to the same place. */
export function printMeasurement(measurement: Measurement): Printed | null {
  const { value, unit, minimum, estimated } = measurement;
  const printed = printValue(measurement);
  if (printed === null || value === null) return null;
  if (typeof value === 'string') return { ...printed, unit: '', spoken: value };
  const plain = printFigures(value, measurement);
  const spokenU = plain.u === '' ? '' : ` plus or minus ${plain.u}`;
  return {
    ...printed,
    unit: UNIT_SIGNS[unit],
    spoken:
      `${minimum ? 'at least ' : estimated ? 'estimated ' : ''}${plain.value}${spokenU} ${SPOKEN[unit]}`.trim(),
  };
}

/** A number and its standard uncertainty, to two figures of this. */
export function printWithU(value: number, u: number): Pick<Printed, 'value' | 'u'> {
  const printed = printMeasured(value, u);
  return { value: typeset(printed.value), u: typeset(printed.u) };
}

/** A number to so many decimals, set like the ledger's. */
export function printNumber(value: number, decimals: number): string {
  const fixed = value.toFixed(decimals);
  return typeset(Number(fixed) === 0 ? (0).toFixed(decimals) : fixed);
}

export function unitSign(unit: MeasureUnit): string {
  return UNIT_SIGNS[unit];
}
