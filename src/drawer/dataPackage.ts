import type { Table, TableColumn } from './tables.ts';

/** A table as it was written. */
export interface WrittenTable {
  readonly table: Table;
  readonly path: string;
  readonly bytes: number;
  /** SHA-256, hexadecimal. */
  readonly sha256: string;
}

/**
 * The descriptor of a data package: Frictionless Data Package 1.0 with Table Schema and the CSV dialect
 * (specs.frictionlessdata.io). No time is written: the same drawer gives the same bytes.
 */
export function dataPackage(tables: readonly WrittenTable[], version: string): string {
  const descriptor = {
    profile: 'tabular-data-package',
    name: 'knapgauge-drawer',
    title: 'Measured bifaces',
    description:
      'Measures of bifaces from their scans, each with its standard uncertainty. Numbers support a judgement by a trained analyst; they do not date, authenticate or appraise a piece.',
    version,
    // Whose data these are and who may use them is for the holder of the pieces to say.
    licenses: [{ name: 'other-closed', title: 'To be stated by the holder of the pieces' }],
    sources: [{ title: 'Scans named in the table of specimens' }],
    contributors: [{ title: `Knapgauge ${version}`, role: 'wrangler' }],
    resources: tables.map(({ table, path, bytes, sha256 }) => ({
      profile: 'tabular-data-resource',
      name: table.id.toLowerCase(),
      title: table.title,
      path,
      format: 'csv',
      mediatype: 'text/csv',
      encoding: 'utf-8',
      bytes,
      hash: `sha256:${sha256}`,
      dialect: { delimiter: ',', lineTerminator: '\r\n', quoteChar: '"', doubleQuote: true, header: true },
      schema: {
        fields: table.columns.map(field),
        missingValues: [''],
        ...(table.id === 'specimens' ? { primaryKey: 'name' } : {}),
        ...(table.id === 'specimens'
          ? {}
          : { foreignKeys: [{ fields: 'name', reference: { resource: 'specimens', fields: 'name' } }] }),
      },
    })),
  };
  return `${JSON.stringify(descriptor, null, 2)}\n`;
}

function field({ name, type, title, description, unit, source }: TableColumn): Record<string, string> {
  return {
    name,
    type,
    title,
    description,
    ...(unit === undefined ? {} : { unit }),
    ...(source === undefined ? {} : { source }),
  };
}
