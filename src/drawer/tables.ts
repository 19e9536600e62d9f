import { catalogueRows } from '../measures/catalogue.ts';
import type { MeasureRow } from '../measures/types.ts';
import { type Cell, numberOrWord } from '../record/csv.ts';
import type { SpecimenRecord } from '../record/schema.ts';
import { measureColumns, withUnit } from './columnNames.ts';
import { SERIES } from './seriesTables.ts';
import { FACTS, FIELDS, FIND_SPOT, number, type TableColumn, word } from './tableColumns.ts';

export type { TableColumn } from './tableColumns.ts';

/** A measured piece with the name that its files have. */
export interface NamedRecord {
  readonly name: string;
  readonly record: SpecimenRecord;
}

/** One table of a drawer. Rows of one piece at a time, so that a drawer of any size needs the memory of one piece. */
export interface Table {
  readonly id: string;
  readonly title: string;
  readonly columns: readonly TableColumn[];
  rows(piece: NamedRecord): Iterable<readonly Cell[]>;
}

const NAME: TableColumn = {
  name: 'name',
  type: 'string',
  title: 'Name',
  description: 'Name of the piece’s files in this package; joins the tables.',
};

export interface TableOptions {
  /** Find-spots are written out. */
  readonly findSpots: boolean;
}

/** Every table of a drawer: one row a piece, one row a measurement, humps, outlines, sections, margins and the series. */
export function drawerTables(options: TableOptions): readonly Table[] {
  return [wideTable(options), LONG, HUMPS, OUTLINES, SECTIONS, MARGINS, ...SERIES_TABLES];
}

/** One row a piece: tidy, for a spreadsheet, R or Python. */
function wideTable({ findSpots }: TableOptions): Table {
  const fields = findSpots ? [...FIELDS, FIND_SPOT] : FIELDS;
  const rows = catalogueRows();
  const measures = rows.flatMap((row) =>
    row.unit === 'text' ? [valueColumn(row)] : [valueColumn(row), uColumn(row)],
  );
  return {
    id: 'specimens',
    title: 'Specimens: one row a piece',
    columns: [NAME, ...fields.map(([, column]) => column), ...FACTS.map(([column]) => column), ...measures],
    *rows({ name, record }) {
      const byId = new Map(record.measurements.map((measured) => [measured.id, measured]));
      yield [
        name,
        ...fields.map(([key]) => record.catalogue[key] as Cell),
        ...FACTS.map(([, fact]) => fact(record)),
        ...rows.flatMap(({ id, unit }): Cell[] => {
          const measured = byId.get(id);
          return unit === 'text' ? [measured?.value] : [measured?.value, measured?.u];
        }),
      ];
    },
  };
}

export function valueColumn({ id, name, unit, definition, source }: MeasureRow): TableColumn {
  return {
    name: withUnit(id, unit),
    type: unit === 'text' ? 'string' : unit === 'count' ? 'integer' : 'number',
    title: name,
    description: definition,
    source,
    ...(withUnit(id, unit) === id ? {} : { unit }),
  };
}

function uColumn(row: MeasureRow): TableColumn {
  const { unit } = valueColumn(row);
  return {
    name: measureColumns(row)[1],
    type: 'number',
    title: `${row.name}, standard uncertainty`,
    description: 'Standard uncertainty (JCGM 100:2008) of the column before.',
    ...(unit === undefined ? {} : { unit }),
  };
}

const LONG: Table = {
  id: 'measurements',
  title: 'Measurements: one row a piece and measure',
  columns: [
    NAME,
    word('measure', 'Measure', 'Id of the measure, as in the data dictionary.'),
    number('value', 'Value', 'Empty where the measure does not apply, or is a word.'),
    word('unit', 'Unit', 'Unit of the value and of its uncertainty.'),
    number('u', 'Standard uncertainty', 'Of the value (JCGM 100:2008).'),
    word('word', 'Word', 'The value of a measure whose unit is text.'),
    {
      name: 'minimum',
      type: 'boolean',
      title: 'Minimum',
      description: 'The true value is this or more: a part is missing.',
    },
    {
      name: 'estimated',
      type: 'boolean',
      title: 'Estimated',
      description: 'From silhouettes in photographs, not from the surface itself.',
    },
    word('reason', 'Reason', 'Why there is no value.'),
  ],
  *rows({ name, record }) {
    for (const { id, value, unit, u, minimum, estimated, reason } of record.measurements) {
      const [figure, said] = numberOrWord(value);
      // As R, Python and the data package's own standard read it.
      const flags = [minimum, estimated].map((flag) => (flag ? 'TRUE' : 'FALSE'));
      yield [name, id, figure, unit, u, said, ...flags, reason];
    }
  },
};

const HUMPS: Table = {
  id: 'humps',
  title: 'Humps: one row a hump, the most prominent of a piece first',
  columns: [
    NAME,
    word('face', 'Face', 'A or B.'),
    number('station', 'Station', 'Of the peak: 0 at the base, 100 at the tip.', 'percent'),
    number('offset_mm', 'Offset', 'Of the peak from the midline, + to the right.', 'mm'),
    number('prominence_mm', 'Prominence', 'Topographic prominence over the reference face.', 'mm'),
    number('height_mm', 'Height', 'Of the peak over the reference face.', 'mm'),
    number('thickness_mm', 'Thickness', 'Of the piece there.', 'mm'),
    number('area_mm2', 'Area', 'Of the footprint.', 'mm2'),
    number('volume_mm3', 'Volume', 'Over the reference face.', 'mm3'),
    number('run_left_mm', 'Run from the left', 'From the left margin to the far foot.', 'mm'),
    number('run_right_mm', 'Run from the right', 'From the right margin to the far foot.', 'mm'),
  ],
  *rows({ name, record }) {
    for (const h of record.humps) {
      yield [
        name,
        h.face,
        h.station,
        h.offset,
        h.prominence,
        h.height,
        h.thickness,
        h.area,
        h.volume,
        h.run.left,
        h.run.right,
      ];
    }
  },
};

const RING: TableColumn = {
  name: 'ring',
  type: 'integer',
  title: 'Ring',
  description: '0 is the outer ring, counter-clockwise; further ones are holes.',
};
const POINT: TableColumn = {
  name: 'point',
  type: 'integer',
  title: 'Point',
  description: 'Order of the points; a ring closes from the last to the first.',
};

const OUTLINES: Table = {
  id: 'outlines',
  title: 'Outlines: plan silhouettes in the specimen frame',
  columns: [
    NAME,
    RING,
    POINT,
    number('x_mm', 'x', 'To the right on Face A.', 'mm'),
    number('y_mm', 'y', 'From base to tip.', 'mm'),
  ],
  *rows({ name, record }) {
    for (const [ring, points] of [record.outline.outer, ...record.outline.inner].entries()) {
      for (const [k, [x, y]] of points.entries()) yield [name, ring, k, x, y];
    }
  },
};

const SECTIONS: Table = {
  id: 'sections',
  title: 'Sections: cuts square to the length axis',
  columns: [
    NAME,
    word('at', 'Why here', 'station, width or thickness.'),
    number('station', 'Station', '0 at the base, 100 at the tip.', 'percent'),
    { ...RING, description: '0 is the greatest loop of the cut; further ones are its other parts.' },
    POINT,
    number('x_mm', 'x', 'To the right on Face A.', 'mm'),
    number('z_mm', 'z', 'Out of Face A.', 'mm'),
  ],
  *rows({ name, record }) {
    for (const { at, station, points, more } of record.sections) {
      for (const [ring, loop] of [points, ...more].entries()) {
        for (const [k, [x, z]] of loop.entries()) yield [name, at, station, ring, k, x, z];
      }
    }
  },
};

const MARGINS: Table = {
  id: 'margins',
  title: 'Margin lines: clockwise from the tip seen on Face A',
  columns: [
    NAME,
    POINT,
    number('arc_mm', 'Arc length', 'From the tip.', 'mm'),
    word('side', 'Side', 'left, right, tip or base.'),
    number('x_mm', 'x', 'To the right on Face A.', 'mm'),
    number('y_mm', 'y', 'From base to tip.', 'mm'),
    number('z_mm', 'z', 'Above the margin plane.', 'mm'),
  ],
  *rows({ name, record }) {
    for (const [k, { s, side, x, y, z }] of record.margin.entries()) yield [name, k, s, side, x, y, z];
  },
};

const SERIES_TABLES: readonly Table[] = Object.entries(SERIES).map(([id, { title, columns }]) => ({
  id: `series-${id}`,
  title,
  columns: [NAME, ...columns],
  *rows({ name, record }) {
    const table = record.series[id];
    if (table === undefined) return;
    const list = columns.map((column) => table[column.name] ?? []);
    const count = Math.max(0, ...list.map(({ length }) => length));
    for (let k = 0; k < count; k++) yield [name, ...list.map((column) => column[k])];
  },
}));
