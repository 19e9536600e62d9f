import { createHash } from 'node:crypto';
import { open, readFile, rename, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { dataPackage, type Terms, type WrittenTable } from '../drawer/dataPackage.ts';
import { INDEX_FOOT, indexEntry, indexHead } from '../drawer/indexPage.ts';
import { SHAPES_FOOT, SHAPES_HEAD, shapesOf } from '../drawer/shapes.ts';
import { drawerTables, type NamedRecord, type Table } from '../drawer/tables.ts';
import { type Cell, writeCsv } from '../record/csv.ts';
import { ENGINE } from '../record/engine.ts';
import { readRecord } from '../record/read.ts';
import type { SeriesTable, SpecimenRecord } from '../record/schema.ts';
import { writeAtomically } from './outputFiles.ts';

/** A file that could not be measured. */
export interface Failure {
  readonly file: string;
  readonly code: string;
  readonly message: string;
}

export const PIECES = 'pieces';
const FAILURES = 'failures.csv';
const SHAPES = 'shapes.json';

/** What is asked of the results, beside the measures. */
export interface ResultOptions extends Terms {
  /** Find-spots are written out. */
  readonly findSpots: boolean;
}

export function recordPath(out: string, name: string): string {
  return join(out, PIECES, `${name}.specimen.json`);
}

/** The record of a piece, or undefined where there is none that can be read. */
export async function finishedRecord(out: string, name: string): Promise<SpecimenRecord | undefined> {
  try {
    return readRecord(await readFile(recordPath(out, name), 'utf8'));
  } catch {
    return undefined;
  }
}

/**
 * Writes tables, index page and data package from the records that lie in `out`, one record in memory at a time. `names`
 * gives the order.
 */
export async function writeResults(
  out: string,
  names: readonly string[],
  failures: readonly Failure[],
  { findSpots, ...terms }: ResultOptions,
): Promise<void> {
  await writeAtomically(
    join(out, FAILURES),
    writeCsv(
      ['file', 'code', 'message'],
      failures.map(({ file, code, message }) => [file, code, message]),
    ),
  );
  const example = await firstRecord(out, names);
  const series: Readonly<Record<string, SeriesTable>> = example?.series ?? {};
  const writers = await Promise.all(
    drawerTables({ findSpots }, series).map((table) => startTable(out, table)),
  );
  const index = await startFile(join(out, 'index.html'));
  const shapes = await startFile(join(out, SHAPES));
  try {
    let count = 0;
    for (const name of names) if ((await finishedRecord(out, name)) !== undefined) count += 1;
    await index.add(indexHead(count, failures.length));
    await shapes.add(SHAPES_HEAD);
    let separator = '';
    for (const name of names) {
      const record = await finishedRecord(out, name);
      if (record === undefined) continue;
      for (const writer of writers) await writer.add({ name, record });
      await shapes.add(separator + shapesOf({ name, record }));
      separator = ',';
      const title = record.catalogue.number ?? name;
      const warnings = record.warnings.map(({ code }) => code);
      await index.add(indexEntry({ name, title, measurements: record.measurements, warnings }));
    }
    await index.add(INDEX_FOOT);
    const written = await Promise.all(writers.map((writer) => writer.finish()));
    await index.finish();
    await shapes.add(SHAPES_FOOT);
    const drawn = { path: SHAPES, ...(await shapes.finish()) };
    await writeAtomically(join(out, 'datapackage.json'), dataPackage(written, drawn, terms, ENGINE.version));
  } catch (error) {
    await Promise.all([...writers, index, shapes].map((writer) => writer.drop()));
    throw error;
  }
}

async function firstRecord(out: string, names: readonly string[]): Promise<SpecimenRecord | undefined> {
  for (const name of names) {
    const record = await finishedRecord(out, name);
    if (record !== undefined) return record;
  }
  return undefined;
}

interface TableWriter {
  add(piece: NamedRecord): Promise<void>;
  finish(): Promise<WrittenTable>;
  drop(): Promise<void>;
}

async function startTable(out: string, table: Table): Promise<TableWriter> {
  const path = `${table.id}.csv`;
  const file = await startFile(join(out, path));
  const header = writeCsv(
    table.columns.map(({ name }) => name),
    [],
  );
  await file.add(header);
  return {
    async add(piece) {
      const rows = [...table.rows(piece)] as readonly (readonly Cell[])[];
      if (rows.length > 0) await file.add(writeCsv([], rows).slice('\r\n'.length));
    },
    async finish() {
      return { table, path, ...(await file.finish()) };
    },
    drop: () => file.drop(),
  };
}

interface GrowingFile {
  add(text: string): Promise<void>;
  /** Flushes it to the disk and moves it into its place. */
  finish(): Promise<{ bytes: number; sha256: string }>;
  drop(): Promise<void>;
}

/** A file that grows beside its place and is moved in when it is whole. */
async function startFile(path: string): Promise<GrowingFile> {
  const aside = `${path}.part`;
  const handle = await open(aside, 'w');
  const hash = createHash('sha256');
  return {
    async add(text) {
      hash.update(text);
      await handle.write(text);
    },
    async finish() {
      await handle.sync();
      await handle.close();
      await rename(aside, path);
      return { bytes: (await stat(path)).size, sha256: hash.digest('hex') };
    },
    async drop() {
      await handle.close().catch(() => undefined);
      await rm(aside, { force: true });
    },
  };
}
