import type { MeasureUnit } from './types.ts';

/** Units as set in type; nothing for what has none. */
export const UNIT_SIGNS: Readonly<Record<MeasureUnit, string>> = {
  mm: 'mm',
  mm2: 'mm²',
  mm3: 'mm³',
  deg: '°',
  percent: '%',
  per_cm: '/cm',
  g: 'g',
  g_per_cm2: 'g/cm²',
  '1': '',
  text: '',
  count: '',
};
