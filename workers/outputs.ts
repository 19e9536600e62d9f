import type { MeasureResult } from '../src/measures/types.ts';
import { sheet } from '../src/plate/sheet.ts';
import { measuresCsv, seriesCsv } from '../src/record/csv.ts';
import { type MeshKind, meshFile } from '../src/record/meshFile.ts';
import type { SpecimenRecord } from '../src/record/schema.ts';
import { writeRecord } from '../src/record/write.ts';
import type { Model } from '../src/trace/types.ts';
import type { OutputKind } from './outputKinds.ts';

/** One file to be written: `<name>` and this ending. */
export interface Output {
  readonly ending: string;
  readonly content: string | Uint8Array;
}

/** Ending of the oriented mesh. */
export const meshEnding = (kind: MeshKind): string => `.oriented.${kind}`;

/** A measured scan or photograph, as far as files are written of it. */
export interface Measured {
  readonly record: SpecimenRecord;
  readonly result: MeasureResult;
  /** Of a scan. */
  readonly model?: Model;
}

/**
 * All files of the kinds asked for, and the oriented mesh if that is and there is a surface. The same scan, settings and version
 * give the same bytes.
 */
export function outputsOf(measured: Measured, kinds: readonly OutputKind[], mesh?: MeshKind): Output[] {
  const { record, result, model } = measured;
  const outputs: Output[] = [];
  if (kinds.includes('json')) outputs.push({ ending: '.specimen.json', content: writeRecord(record) });
  if (kinds.includes('csv')) {
    outputs.push({ ending: '.measures.csv', content: measuresCsv(record) });
    for (const [name, table] of Object.entries(record.series)) {
      outputs.push({ ending: `.${name}.csv`, content: seriesCsv(table) });
    }
  }
  if (kinds.includes('sheet')) {
    outputs.push({ ending: '.sheet.svg', content: sheet(record, result.thicknessMap) });
  }
  if (mesh !== undefined && model?.surface !== undefined) {
    const facts = { number: record.catalogue.number, file: record.source.file, sha256: record.source.sha256 };
    outputs.push({ ending: meshEnding(mesh), content: meshFile(mesh, model, facts) });
  }
  return outputs;
}
