import type { MeasureResult } from '../src/measures/types.ts';
import { sheet } from '../src/plate/sheet.ts';
import { measuresCsv, seriesCsv } from '../src/record/csv.ts';
import type { SpecimenRecord } from '../src/record/schema.ts';
import { writeRecord } from '../src/record/write.ts';

/** What may be written of a measured scan. */
export const OUTPUT_KINDS = ['json', 'csv', 'sheet'] as const;
export type OutputKind = (typeof OUTPUT_KINDS)[number];

/** One file to be written: `<name>` and this ending. */
export interface Output {
  readonly ending: string;
  readonly text: string;
}

/** A measured scan or photograph, as far as files are written of it. */
export interface Measured {
  readonly record: SpecimenRecord;
  readonly result: MeasureResult;
}

/** The texts of all files of the kinds asked for. The same scan, settings and version give the same bytes. */
export function outputsOf({ record, result }: Measured, kinds: readonly OutputKind[]): Output[] {
  const outputs: Output[] = [];
  if (kinds.includes('json')) outputs.push({ ending: '.specimen.json', text: writeRecord(record) });
  if (kinds.includes('csv')) {
    outputs.push({ ending: '.measures.csv', text: measuresCsv(record) });
    for (const [name, table] of Object.entries(record.series)) {
      outputs.push({ ending: `.${name}.csv`, text: seriesCsv(table) });
    }
  }
  if (kinds.includes('sheet')) {
    outputs.push({ ending: '.sheet.svg', text: sheet(record, result.thicknessMap) });
  }
  return outputs;
}
