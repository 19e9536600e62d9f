import { readdir, readFile, stat } from 'node:fs/promises';
import { dirname, extname, join, relative, resolve, sep } from 'node:path';
import { csvParseRows } from 'd3-dsv';
import { type LengthUnit, MM_PER_UNIT } from '../intake/types.ts';
import { clip } from '../intake/wording.ts';
import { CATALOGUE_CHOICES, type Catalogue, RecordError } from '../record/schema.ts';
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
  occasion: 'occasion',
  notes: 'notes',
};

/**
 * The scans of a folder and its folders, or those that a CSV list names, in the order of their paths, which is the same on
 * every machine. `leaveOut` is a folder that is not looked into. Throws a RecordError of one plain sentence.
 */
export async function listScans(where: string, leaveOut: string): Promise<readonly ListedScan[]> {
  const entry = await stat(where).catch(() => undefined);
  if (entry === undefined) throw new RecordError('drawer-list', `${where}: there is no such folder or list.`);
  const found = entry.isDirectory()
    ? await inFolder(where, resolve(leaveOut))
    : readList(await readFile(where, 'utf8'), where);
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

/**
 * A list is a CSV file with a column `file`, paths from the list's own folder; the other columns are optional. `list` is
 * where it lies. Throws a RecordError of one plain sentence.
 */
export function readList(text: string, list: string): readonly Found[] {
  const refuse = (what: string): never => {
    throw new RecordError('drawer-list', `${list}${what}.`);
  };
  const [header = [], ...rows] = csvParseRows(text.replace(/^\uFEFF/, ''));
  const columns = header.map((name) => name.trim());
  if (!columns.includes('file')) refuse(': a list is a CSV file with a column "file"; this one has none');
  const unknown = columns.find((name) => name !== 'file' && name !== 'unit' && !Object.hasOwn(FIELDS, name));
  if (unknown !== undefined) {
    const known = ['file', 'unit', ...Object.keys(FIELDS)].join(', ');
    refuse(`: there is no column "${clip(unknown)}"; known ones are ${known}`);
  }
  const twice = columns.find((name, k) => columns.indexOf(name) !== k);
  if (twice !== undefined) refuse(`: the column "${twice}" stands twice`);
  const seen = new Set<string>();
  return rows.map((cells, k): Found => {
    const at = (what: string): never => refuse(`, row ${k + 2}: ${what}`);
    const row = new Map(columns.map((name, c) => [name, cells[c]?.trim() ?? '']));
    const file = row.get('file') || at('no file is named');
    const unit = row.get('unit') ?? '';
    if (unit !== '' && !Object.hasOwn(MM_PER_UNIT, unit)) {
      at(`"${clip(unit)}" is no unit; known ones are ${Object.keys(MM_PER_UNIT).join(', ')}`);
    }
    const listed = file.split(sep).join('/');
    if (seen.has(listed)) at(`${clip(listed, 200)} is listed twice`);
    seen.add(listed);
    return {
      path: resolve(dirname(list), file),
      listed,
      ...(unit === '' ? {} : { unit: unit as LengthUnit }),
      catalogue: catalogueOf(row, at),
    };
  });
}

function catalogueOf(row: ReadonlyMap<string, string>, refuse: (what: string) => never): Catalogue {
  const fields = Object.entries(FIELDS).flatMap(([column, key]): [string, string | number][] => {
    const text = row.get(column) ?? '';
    if (text === '') return [];
    if (key === 'cortexA' || key === 'cortexB') {
      const share = Number(text);
      if (!(share >= 0 && share <= 100)) refuse(`${column} is "${clip(text)}"; it should be from 0 to 100`);
      return [[key, share]];
    }
    const words = CATALOGUE_CHOICES[key as keyof typeof CATALOGUE_CHOICES] as readonly string[] | undefined;
    if (words !== undefined && !words.includes(text))
      refuse(`${column} is "${clip(text)}"; it should be one of ${words.join(', ')}`);
    return [[key, text]];
  });
  return Object.fromEntries(fields);
}
