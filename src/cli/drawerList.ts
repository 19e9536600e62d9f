import { dirname, extname, resolve, sep } from 'node:path';
import { csvRows, pointed } from '../drawer/csvRows.ts';
import { type LengthUnit, MM_PER_UNIT } from '../intake/types.ts';
import { clip } from '../intake/wording.ts';
import { CATALOGUE_CHOICES, type Catalogue, RecordError } from '../record/schema.ts';
import { VIEWS } from '../trace/types.ts';
import type { FoundPiece } from './drawerPieces.ts';
import type { SettingOptions } from './options.ts';
import { PHOTO_COLUMNS, photoOptionsOfRow, VIEW_COLUMNS } from './photoOptions.ts';

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
const KNOWN: readonly string[] = ['file', ...VIEWS, 'unit', ...PHOTO_COLUMNS, ...Object.keys(FIELDS)];

type Row = ReadonlyMap<string, string>;

/** Something is wrong with one row: it fails alone. */
class RowFault extends Error {}

/**
 * A list is a table with a column `file`, paths from the list's own folder; the other columns are optional: unit and description, and
 * of photographs further views (`file` is then Face A) and what the options of photographs tell. `list` is where it lies.
 * A row that can't be used comes back with its fault; throws a RecordError of one plain sentence for a list that can't.
 */
export function readList(bytes: Uint8Array, list: string): readonly FoundPiece[] {
  const refuse = (what: string): never => {
    throw new RecordError('drawer-list', `${list}${what}.`);
  };
  const table = csvRows(bytes) ?? refuse(': this is no list: it holds bytes that no text has');
  const [header = [], ...rows] = table.rows;
  const columns = header.map((name) => name.replace(/^\uFEFF/, '').trim());
  if (!columns.includes('file')) refuse(': a list is a CSV file with a column "file"; this one has none');
  const unknown = columns.find((name) => !KNOWN.includes(name) && !VIEW_COLUMNS.includes(name));
  if (unknown !== undefined)
    refuse(
      `: there is no column "${clip(unknown)}"; known ones are ${KNOWN.join(', ')}, and of a view alone such as left_bar`,
    );
  const twice = columns.find((name, k) => columns.indexOf(name) !== k);
  if (twice !== undefined) refuse(`: the column "${twice}" stands twice`);
  const seen = new Set<string>();
  return rows.flatMap((cells, k): FoundPiece[] => {
    if (cells.every((cell) => cell.trim() === '')) return [];
    const row: Row = new Map(columns.map((name, c) => [name, cells[c]?.trim() ?? '']));
    const listed = labelOf(row);
    const isNew = listed !== '' && !seen.has(listed);
    seen.add(listed);
    try {
      if (listed === '') throw new RowFault('no file is named');
      if (!isNew) throw new RowFault(`${clip(listed, 200)} is listed twice`);
      return [pieceOf(row, listed, table.delimiter, list)];
    } catch (error) {
      if (!(error instanceof RowFault)) throw error;
      const fault = `Row ${k + 2} of the list: ${error.message.replace(/\.$/, '')}.`;
      return [
        {
          path: '',
          listed: isNew ? listed : `${listed} (row ${k + 2})`.trim(),
          options: {},
          catalogue: {},
          fault,
        },
      ];
    }
  });
}

/** How a piece is told from others: by its file, and where that shows several by which it is. */
function labelOf(row: Row): string {
  const file = (row.get('file') ?? '').split(sep).join('/');
  const piece = row.get('piece') ?? '';
  if (file === '' || piece === '' || piece === '1') return file;
  const ending = extname(file);
  return `${file.slice(0, file.length - ending.length)}-piece${piece}${ending}`;
}

function pieceOf(row: Row, listed: string, delimiter: string, list: string): FoundPiece {
  const refuse = (what: string): never => {
    throw new RowFault(what);
  };
  const pathOf = (file: string): string => resolve(dirname(list), file);
  const views = VIEWS.flatMap((view) => {
    const file = row.get(view) ?? '';
    return file === '' ? [] : [{ view, path: pathOf(file), listed: file.split(sep).join('/') }];
  });
  return {
    path: pathOf(row.get('file') ?? ''),
    listed,
    ...(views.length === 0 ? {} : { views }),
    options: { ...unitOf(row, refuse), ...photoOptionsOfRow(row, delimiter, refuse) },
    catalogue: catalogueOf(row, delimiter, refuse),
  };
}

function unitOf(row: Row, refuse: (what: string) => never): Pick<SettingOptions, 'unit'> {
  const unit = row.get('unit') ?? '';
  if (unit === '') return {};
  if (Object.hasOwn(MM_PER_UNIT, unit)) return { unit: unit as LengthUnit };
  return refuse(`"${clip(unit)}" is no unit; known ones are ${Object.keys(MM_PER_UNIT).join(', ')}`);
}

function catalogueOf(row: Row, delimiter: string, refuse: (what: string) => never): Catalogue {
  const fields = Object.entries(FIELDS).flatMap(([column, key]): [string, string | number][] => {
    const text = row.get(column) ?? '';
    if (text === '') return [];
    if (key === 'cortexA' || key === 'cortexB') {
      const share = Number(pointed(text, delimiter));
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
