import type { MeasureUnit } from '../measures/types.ts';

const UNIT_SUFFIX: Readonly<Record<MeasureUnit, string>> = {
  mm: '_mm',
  mm2: '_mm2',
  mm3: '_mm3',
  deg: '_deg',
  percent: '_percent',
  per_cm: '_per_cm',
  g: '_g',
  g_per_cm2: '_g_per_cm2',
  '1': '',
  text: '',
  count: '',
};

/** What a column is called in every table that is written: what it holds, and its unit. */
export function withUnit(name: string, unit: MeasureUnit): string {
  return `${name}${UNIT_SUFFIX[unit]}`;
}

/** The columns of a measure: its value, and its standard uncertainty. */
export function measureColumns({ id, unit }: { readonly id: string; readonly unit: MeasureUnit }): string[] {
  const name = withUnit(id, unit);
  return [name, `${name}_u`];
}
