import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { type FileHandle, open, readFile, rename, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { dataPackage, type Terms, type WrittenTable } from '../drawer/dataPackage.ts';
import { INDEX_FOOT, indexEntry, indexHead } from '../drawer/indexPage.ts';
import { SHAPES_FOOT, SHAPES_HEAD, shapesOf } from '../drawer/shapes.ts';
import { drawerTables, type NamedRecord, type Table } from '../drawer/tables.ts';
import { type Cell, writeCsv } from '../record/csv.ts';
import { ENGINE } from '../record/engine.ts';
import { readRecord, verifyVersion } from '../record/read.ts';
import { RecordError, type SpecimenRecord } from '../record/schema.ts';
import { writeAtomically } from './outputFiles.ts';
import { passedOverLines } from './passedOver.ts';

/** A file that could not be measured. */
export interface Failure {
  readonly file: string;
  readonly code: string;
  readonly message: string;
}

export const PIECES = 'pieces';
const FAILURES = 'failures.csv';
const SHAPES = 'shapes.json';
const INDEX = 'index.html';
const PACKAGE = 'datapackage.json';
const STRETCH = 1 << 20;
/** Of a record's text: room for its head, what follows the head, how it ends. */
const HEAD_BYTES = 1 << 15;
const AFTER_HEAD = ',\n  "measurements": ';
const RECORD_END = '\n}\n';

/** What is asked of the results, beside the measures. */
export interface ResultOptions extends Terms {
  /** Find-spots are written out. */
  readonly findSpots: boolean;
  /** Files of the folder that are neither scans nor photographs, and pictures that are textures of scans. */
  readonly passedOver?: readonly string[] | undefined;
  readonly textures?: readonly string[] | undefined;
}

/** Of a file's bytes, hexadecimal; read in stretches, however large it is. */
export async function sha256Of(path: string): Promise<string> {
  const hash = createHash('sha256');
  for await (const chunk of createReadStream(path, { highWaterMark: STRETCH })) hash.update(chunk as Buffer);
  return hash.digest('hex');
}

export function recordPath(out: string, name: string): string {
  return join(out, PIECES, `${name}.specimen.json`);
}

/** What tells whether a piece has to be measured again. */
export type RecordHead = Pick<SpecimenRecord, 'engine' | 'settings' | 'catalogue' | 'source'>;

/**
 * The head of a piece's record, or undefined where there is none. Files appear whole or not at all, so that text which begins
 * as a record of this version, and ends as one, is taken for one: to check every number of every piece would cost more than
 * all else in going on with a drawer.
 */
export async function recordHead(out: string, name: string): Promise<RecordHead | undefined> {
  try {
    const file = await open(recordPath(out, name));
    try {
      const value = await headIn(file);
      verifyVersion(value);
      return value as RecordHead;
    } finally {
      await file.close();
    }
  } catch {
    return undefined;
  }
}

/** What stands before the measurements, which the writer puts after everything that is asked of a head. */
async function headIn(file: FileHandle): Promise<unknown> {
  const { size } = await file.stat();
  const { buffer: end } = await file.read(
    Buffer.alloc(RECORD_END.length),
    0,
    RECORD_END.length,
    size - RECORD_END.length,
  );
  if (end.toString('latin1') !== RECORD_END) throw new Error('cut short');
  const { buffer: start, bytesRead } = await file.read(Buffer.alloc(HEAD_BYTES), 0, HEAD_BYTES, 0);
  const text = start.toString('utf8', 0, bytesRead);
  const stop = text.indexOf(AFTER_HEAD);
  return JSON.parse(stop < 0 ? await readFile(file, 'utf8') : `${text.slice(0, stop)}}`);
}

/** Whether tables, index and data package stand as they were written, after the last of the records. */
export async function resultsStand(out: string, names: readonly string[]): Promise<boolean> {
  try {
    const path = join(out, PACKAGE);
    const written = (await stat(path)).mtimeMs;
    await stat(join(out, INDEX));
    await stat(join(out, FAILURES));
    for (const name of names) if ((await stat(recordPath(out, name))).mtimeMs > written) return false;
    const { resources } = JSON.parse(await readFile(path, 'utf8')) as {
      resources: readonly { readonly path: string; readonly hash: string }[];
    };
    for (const resource of resources) {
      if (resource.hash !== `sha256:${await sha256Of(join(out, resource.path))}`) return false;
    }
    return true;
  } catch {
    return false;
  }
}

/** The record of a piece, checked in full. Throws a RecordError that names its file. */
async function wholeRecord(out: string, name: string): Promise<SpecimenRecord> {
  const path = recordPath(out, name);
  try {
    return readRecord(await readFile(path, 'utf8'));
  } catch (error) {
    throw new RecordError(
      'record-shape',
      `${path}: ${(error as Error).message} Delete this file and measure the drawer again.`,
    );
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
  { findSpots, passedOver = [], textures = [], ...terms }: ResultOptions,
): Promise<void> {
  await writeAtomically(
    join(out, FAILURES),
    writeCsv(
      ['file', 'code', 'message'],
      failures.map(({ file, code, message }) => [file, code, message]),
    ),
  );
  const finished: string[] = [];
  for (const name of names) if (await isThere(recordPath(out, name))) finished.push(name);
  const writers = await Promise.all(drawerTables({ findSpots }).map((table) => startTable(out, table)));
  const index = await startFile(join(out, INDEX));
  const shapes = await startFile(join(out, SHAPES));
  try {
    await index.add(indexHead(finished.length, failures.length, passedOverLines(passedOver, textures)));
    await shapes.add(SHAPES_HEAD);
    let separator = '';
    for (const name of finished) {
      const record = await wholeRecord(out, name);
      for (const writer of writers) await writer.add({ name, record });
      await shapes.add(separator + shapesOf({ name, record }));
      separator = ',';
      await index.add(indexEntry({ name, record }));
    }
    await index.add(INDEX_FOOT);
    const written = await Promise.all(writers.map((writer) => writer.finish()));
    await index.finish();
    await shapes.add(SHAPES_FOOT);
    const drawn = { path: SHAPES, ...(await shapes.finish()) };
    await writeAtomically(join(out, PACKAGE), dataPackage(written, drawn, terms, ENGINE.version));
  } catch (error) {
    await Promise.all([...writers, index, shapes].map((writer) => writer.drop()));
    throw error;
  }
}

export async function isThere(path: string): Promise<boolean> {
  return (await stat(path).catch(() => undefined)) !== undefined;
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
