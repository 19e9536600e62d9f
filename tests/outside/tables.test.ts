import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { drawerTables, type Table } from '../../src/drawer/tables.ts';
import { readRecord } from '../../src/record/read.ts';
import type { SpecimenRecord } from '../../src/record/schema.ts';
import { knapgauge, newFolder, smallScan } from '../cli/run.ts';
import { askPython } from './python.ts';
import { askR } from './r.ts';

/** What a spreadsheet, a shell or a parser could trip over. */
const NOTES = 'two\nlines, "quoted"; naïve 𐌀 <b>\t|';
const NUMBER = '=HYPERLINK("x")';
const LICENCE = 'CC-BY-4.0';
const SOURCE = 'Invented pieces, "shelf 3"';

let out: string;
let records: Map<string, SpecimenRecord>;

beforeAll(() => {
  const folder = newFolder();
  for (const shape of ['ovate', 'lanceolate'] as const)
    writeFileSync(join(folder, `${shape}.ply`), smallScan(shape));
  const quoted = (text: string): string => `"${text.replaceAll('"', '""')}"`;
  const list = join(folder, 'list.csv');
  writeFileSync(
    list,
    `file,unit,catalogue_number,notes\r\novate.ply,mm,${quoted(NUMBER)},${quoted(NOTES)}\r\nlanceolate.ply,mm,007,\r\n`,
  );
  out = newFolder();
  expect(knapgauge(['drawer', list, '--out', out, '--licence', LICENCE, '--source', SOURCE]).code).toBe(0);
  const read = (name: string) =>
    readRecord(readFileSync(join(out, 'pieces', `${name}.specimen.json`), 'utf8'));
  records = new Map(['lanceolate', 'ovate'].map((name) => [name, read(name)]));
});

const TABLES = [
  'specimens',
  'measurements',
  'outlines',
  'sections',
  'margins',
  'humps',
  'series-edgeAngle',
  'series-halfWidths',
  'series-fourier',
];

/** A column as R has it: numbers with 17 figures, as many as tell any two doubles apart; NA as nothing. */
type Columns = ReadonlyMap<string, readonly string[]>;

/** Tables as R’s read.csv takes them. */
function asRReads(tables: readonly string[]): Map<string, Columns> {
  // Tables, columns and cells parted by GS, RS and US, which no table holds: R itself writes no JSON.
  const text = askR(
    `for (path in args) {
  d <- read.csv(path, check.names = FALSE, encoding = "UTF-8", na.strings = "")
  for (n in names(d)) {
    v <- d[[n]]
    s <- if (is.numeric(v)) sprintf("%.17g", v) else as.character(v)
    s[is.na(v)] <- ""
    cat(paste(c(n, s), collapse = "\\037"), "\\036", sep = "")
  }
  cat("\\035")
}`,
    tables.map((table) => join(out, `${table}.csv`)),
  );
  const columnsOf = (table: string): Columns =>
    new Map(
      table
        .split('\u001e')
        .slice(0, -1)
        .map((column) => column.split('\u001f'))
        .map(([name, ...cells]) => [name, cells]),
    );
  return new Map(
    text
      .split('\u001d')
      .slice(0, -1)
      .map((table, k) => [tables[k], columnsOf(table)]),
  );
}

/** R reads decimals with sums of its own, which may miss the nearest double by one step. */
const ONE_STEP = 2 ** -52;

describe('tables of a drawer read by R (Debian r-base-core 4.2)', () => {
  let read: Map<string, Columns>;
  beforeAll(() => {
    read = asRReads(TABLES);
  });

  test.each(TABLES)('%s: every number is that of the record, to one step of a double', (id) => {
    const table = drawerTables({ findSpots: false }).find((one) => one.id === id) as Table;
    const found = read.get(id) as Columns;
    expect([...found.keys()]).toEqual(table.columns.map(({ name }) => name));
    // In the order of the names.
    const rows = [...records].flatMap(([name, record]) => [...table.rows({ name, record })]);
    let numbers = 0;
    const wrong: unknown[] = [];
    for (const [k, { name, type }] of table.columns.entries()) {
      const cells = found.get(name) as readonly string[];
      expect(cells.length).toBe(rows.length);
      if (type !== 'number' && type !== 'integer') continue;
      for (const [row, cell] of cells.entries()) {
        const wanted = rows[row][k];
        const isNumber = typeof wanted === 'number' && Number.isFinite(wanted);
        if (isNumber) numbers += 1;
        const same = isNumber
          ? cell !== '' && Math.abs(Number(cell) - wanted) <= ONE_STEP * Math.abs(wanted)
          : cell === '';
        if (!same) wrong.push([name, row, cell, wanted]);
      }
    }
    expect(wrong).toEqual([]);
    // These made pieces have no humps.
    if (id !== 'humps') expect(numbers).toBeGreaterThan(10);
  });

  test('texts arrive whole, guarded where a spreadsheet would run them', () => {
    const specimens = read.get('specimens') as Columns;
    expect(specimens.get('notes')?.[1]).toBe(NOTES);
    expect(specimens.get('catalogue_number')).toEqual(['007', `'${NUMBER}`]);
  });
});

describe('the data package', () => {
  const descriptor = () => JSON.parse(readFileSync(join(out, 'datapackage.json'), 'utf8'));

  test('names licence and source as they were given', () => {
    expect(descriptor().licenses).toEqual([{ name: LICENCE }]);
    expect(descriptor().sources[0]).toEqual({ title: SOURCE });
  });

  test('every cell is of the type that its Table Schema says (Python’s csv, casts by the specification)', () => {
    const wrong = askPython<string[]>(
      `
import csv, os
wrong = []
cast = {'number': float, 'integer': int, 'boolean': lambda s: {'TRUE': 1, 'FALSE': 0}[s], 'string': str}
for r in data['descriptor']['resources']:
    if r['format'] != 'csv': continue
    with open(os.path.join(data['out'], r['path']), newline='', encoding='utf-8') as f:
        rows = list(csv.reader(f))
    fields = r['schema']['fields']
    if rows[0] != [x['name'] for x in fields]: wrong.append(r['name'] + ': header')
    for row in rows[1:]:
        for x, cell in zip(fields, row, strict=True):
            if cell == '': continue
            try: cast[x['type']](cell)
            except Exception: wrong.append(f"{r['name']}.{x['name']}: {cell}")
print(json.dumps(wrong[:20]))`,
      { descriptor: descriptor(), out },
    );
    expect(wrong).toEqual([]);
  });

  test('shapes.json has valid areas that are those of the record (shapely)', () => {
    const areas = askPython<
      Record<string, { valid: boolean; ccw: boolean; area: number; sections: number[] }>
    >(
      `
import os
from shapely.geometry import shape
from shapely.geometry.polygon import LinearRing
found = {}
with open(os.path.join(data, 'shapes.json'), encoding='utf-8') as f: features = json.load(f)['features']
for f in features:
    p = f['properties']
    one = found.setdefault(p['name'], {'sections': []})
    if p['what'] == 'outline':
        g = shape(f['geometry'])
        one.update(valid=g.is_valid, ccw=LinearRing(g.exterior.coords).is_ccw, area=g.area)
    if p['what'] == 'section':
        # Across the section plane: x and z.
        total = 0
        for polygon in f['geometry']['coordinates']:
            total += shape({'type': 'Polygon', 'coordinates': [[(x, z) for x, y, z in ring] for ring in polygon]}).area
        one['sections'].append(total)
print(json.dumps(found))`,
      out,
    );
    expect(Object.keys(areas).toSorted()).toEqual([...records.keys()].toSorted());
    for (const [name, record] of records) {
      const area = record.measurements.find(({ id }) => id === 'area')?.value as number;
      expect(areas[name].valid && areas[name].ccw).toBe(true);
      expect(Math.abs(areas[name].area / area - 1)).toBeLessThan(1e-6);
      expect(areas[name].sections.length).toBe(record.sections.length);
      for (const [k, section] of record.sections.entries())
        expect(Math.abs(areas[name].sections[k] / section.area - 1)).toBeLessThan(1e-3);
    }
  });

  test('a licence that the profile would refuse is refused', () => {
    const run = knapgauge(['drawer', out, '--out', newFolder(), '--licence', 'CC BY 4.0']);
    expect([run.code, run.err]).toEqual([2, expect.stringContaining('identifier such as CC-BY-4.0')]);
  });
});
