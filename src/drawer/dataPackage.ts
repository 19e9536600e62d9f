import type { Table, TableColumn } from './tables.ts';

/** A table as it was written. */
export interface WrittenTable {
  readonly table: Table;
  readonly path: string;
  readonly bytes: number;
  /** SHA-256, hexadecimal. */
  readonly sha256: string;
}

/** A file of the package that is no table. */
export interface WrittenFile {
  readonly path: string;
  readonly bytes: number;
  readonly sha256: string;
}

/** What the holder of the pieces says of the data. */
export interface Terms {
  /** Identifier of a licence, such as CC-BY-4.0. */
  readonly licence?: string | undefined;
  /** Where the pieces or their scans come from, in words. */
  readonly source?: string | undefined;
}

/** What the data package profile takes for the name of a licence. */
export const LICENCE_NAME = /^[-a-zA-Z0-9._]+$/;

/**
 * The descriptor of a data package: Frictionless Data Package 1.0 with Table Schema and the CSV dialect
 * (specs.frictionlessdata.io). No time is written: the same drawer gives the same bytes.
 */
export function dataPackage(
  tables: readonly WrittenTable[],
  shapes: WrittenFile,
  terms: Terms,
  version: string,
): string {
  const { licence, source } = terms;
  const descriptor = {
    profile: 'data-package',
    name: 'knapgauge-drawer',
    title: 'Measured bifaces',
    description:
      'Measures of bifaces from their scans and photographs, each with its standard uncertainty. Numbers support a judgement by a trained analyst; they do not date, authenticate or appraise a piece.',
    version,
    // Whose data these are and who may use them is for the holder of the pieces to say.
    licenses: [
      licence === undefined
        ? { name: 'other-closed', title: 'To be stated by the holder of the pieces' }
        : { name: licence },
    ],
    sources: [
      ...(source === undefined ? [] : [{ title: source }]),
      { title: 'Scans and photographs named in the table of specimens' },
    ],
    contributors: [{ title: `Knapgauge ${version}`, role: 'wrangler' }],
    resources: [...tables.map(tableResource), shapesResource(shapes)],
  };
  return `${JSON.stringify(descriptor, null, 2)}\n`;
}

function tableResource({ table, path, bytes, sha256 }: WrittenTable): object {
  return {
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
      ...(table.id === 'specimens'
        ? { primaryKey: 'name' }
        : { foreignKeys: [{ fields: 'name', reference: { resource: 'specimens', fields: 'name' } }] }),
    },
  };
}

function shapesResource({ path, bytes, sha256 }: WrittenFile): object {
  return {
    profile: 'data-resource',
    name: 'shapes',
    title: 'Shapes: outlines, midlines, margin lines, sections and humps',
    description:
      'Features in the structure of GeoJSON, in millimetres of each piece’s specimen frame, not in longitude and latitude.',
    path,
    format: 'json',
    mediatype: 'application/json',
    encoding: 'utf-8',
    bytes,
    hash: `sha256:${sha256}`,
  };
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
