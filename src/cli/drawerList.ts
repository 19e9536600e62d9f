import { readdir, readFile, stat } from 'node:fs/promises';
import { dirname, extname, join, relative, resolve, sep } from 'node:path';
import { csvParse } from 'd3-dsv';
import { type LengthUnit, MM_PER_UNIT } from '../intake/types.ts';
import { type Catalogue, RecordError } from '../record/schema.ts';
import { outputNames } from './outputFiles.ts';

/** One piece of a drawer that is to be measured. */
export interface ListedScan {
  /** Where it lies, and its path as it is listed, with `/` between folders. */
  readonly path: string;
  readonly listed: string;
  /** Name of its files among the results. */
  readonly name: string;
  readonly unit?: LengthUnit;
  readonly catalogue: Catalogue;
}

const SCANS = new Set(['.ply', '.stl', '.obj', '.gltf', '.glb']);

/** Columns of a list, and the field that each fills. */
const FIELDS: Readonly<Record<string, keyof Catalogue>> = {
  catalogue_number: 'number',
  collection: 'collection',
  find_spot: 'findSpot',
  raw_material: 'material',
  blank: 'blank',
  cortex_a_percent: 'cortexA',
  cortex_b_percent: 'cortexB',
  heat_alteration: 'heat',
  condition: 'condition',
  part: 'survives',
  observer: 'observer',
  notes: 'notes',
};

/**
 * The scans of a folder and its folders, or those that a CSV list names, in the order of their paths, which is the same on
 * every machine. `leaveOut` is a folder that is not looked into. Throws a RecordError of one plain sentence.
 */
export async function listScans(where: string, leaveOut: string): Promise<readonly ListedScan[]> {
  const entry = await stat(where).catch(() => undefined);
  if (entry === undefined) throw new RecordError('drawer-list', `${where}: there is no such folder or list.`);
  const found = entry.isDirectory() ? await inFolder(where, resolve(leaveOut)) : await inList(where);
  if (found.length === 0) {
    throw new RecordError('drawer-list', `${where}: there are no scans (PLY, STL, OBJ, glTF or GLB) in it.`);
  }
  const sorted = found.toSorted((a, b) => (a.listed < b.listed ? -1 : a.listed > b.listed ? 1 : 0));
  const names = outputNames(sorted.map(({ listed }) => listed.replaceAll('/', '-')));
  return sorted.map((scan, k) => ({ ...scan, name: names[k] }));
}

type Found = Omit<ListedScan, 'name'>;

async function inFolder(folder: string, leaveOut: string): Promise<Found[]> {
  const found: Found[] = [];
  const walk = async (here: string): Promise<void> => {
    for (const entry of await readdir(here, { withFileTypes: true })) {
      const path = join(here, entry.name);
      if (entry.name.startsWith('.') || resolve(path) === leaveOut) continue;
      if (entry.isDirectory()) await walk(path);
      else if (SCANS.has(extname(entry.name).toLowerCase())) {
        found.push({ path, listed: relative(folder, path).split(sep).join('/'), catalogue: {} });
      }
    }
  };
  await walk(folder);
  return found;
}

/** A list is a CSV file with a column `file`, paths from the list's own folder; the other columns are optional. */
async function inList(list: string): Promise<Found[]> {
  const rows = csvParse((await readFile(list, 'utf8')).replace(/^\uFEFF/, ''));
  if (!rows.columns.includes('file')) {
    throw new RecordError(
      'drawer-list',
      `${list}: a list is a CSV file with a column "file"; this one has none.`,
    );
  }
  const unknown = rows.columns.find(
    (column) => !(column in FIELDS) && column !== 'file' && column !== 'unit',
  );
  if (unknown !== undefined) {
    const known = ['file', 'unit', ...Object.keys(FIELDS)].join(', ');
    throw new RecordError(
      'drawer-list',
      `${list}: there is no column "${unknown}"; known ones are ${known}.`,
    );
  }
  const found = rows.map((row, k): Found => {
    const { file = '', unit } = row as Record<string, string | undefined>;
    if (file === '') throw new RecordError('drawer-list', `${list}, row ${k + 2}: no file is named.`);
    if (unit && !(unit in MM_PER_UNIT)) {
      const units = Object.keys(MM_PER_UNIT).join(', ');
      throw new RecordError(
        'drawer-list',
        `${list}, row ${k + 2}: "${unit}" is no unit; known ones are ${units}.`,
      );
    }
    return {
      path: resolve(dirname(list), file),
      listed: file.split(sep).join('/'),
      ...(unit ? { unit: unit as LengthUnit } : {}),
      catalogue: catalogueOf(row as Record<string, string>),
    };
  });
  const twice = found.find(({ listed }, k) => found.findIndex((other) => other.listed === listed) !== k);
  if (twice !== undefined) throw new RecordError('drawer-list', `${list}: ${twice.listed} is listed twice.`);
  return found;
}

function catalogueOf(row: Readonly<Record<string, string>>): Catalogue {
  const fields = Object.entries(FIELDS).flatMap(([column, key]): [string, string | number][] => {
    const text = row[column]?.trim();
    if (!text) return [];
    return [[key, key === 'cortexA' || key === 'cortexB' ? Number(text) : text]];
  });
  return Object.fromEntries(fields);
}
