import type { Cell } from '../record/csv.ts';
import type { Catalogue, SpecimenRecord } from '../record/schema.ts';

/** A column of a table: its name, and what a data dictionary says of it. */
export interface TableColumn {
  readonly name: string;
  readonly type: 'string' | 'number' | 'integer' | 'boolean';
  readonly title: string;
  readonly description: string;
  /** As in the catalogue of measures; absent for words and pure numbers. */
  readonly unit?: string;
  readonly source?: string;
}

export const word = (name: string, title: string, description: string): TableColumn => ({
  name,
  type: 'string',
  title,
  description,
});
export const number = (name: string, title: string, description: string, unit?: string): TableColumn => ({
  name,
  type: 'number',
  title,
  description,
  ...(unit === undefined ? {} : { unit }),
});

/** Descriptive fields in the order of the table. Where a piece was found stays out unless it is asked for. */
export const FIELDS: readonly (readonly [keyof Catalogue, TableColumn])[] = [
  ['number', word('catalogue_number', 'Catalogue number', 'As an analyst recorded it.')],
  ['collection', word('collection', 'Collection', 'As an analyst recorded it.')],
  ['material', word('raw_material', 'Raw material', 'As an analyst recorded it.')],
  ['blank', word('blank', 'Blank', 'flake, tabular, cobble or unknown.')],
  [
    'cortexA',
    number('cortex_a_percent', 'Cortex on Face A', 'Share of Face A, estimated by eye.', 'percent'),
  ],
  [
    'cortexB',
    number('cortex_b_percent', 'Cortex on Face B', 'Share of Face B, estimated by eye.', 'percent'),
  ],
  ['heat', word('heat_alteration', 'Heat alteration', 'none, altered or unknown.')],
  ['condition', word('condition', 'Condition', 'complete, snapped or chipped.')],
  ['survives', word('part', 'Part that survives', 'tip, mid or base of a snapped piece.')],
  ['observer', word('observer', 'Observer', 'Who scanned, photographed or oriented the piece.')],
  [
    'occasion',
    word('occasion', 'Occasion', 'When, or the how-manieth time, the observer measured the piece.'),
  ],
  ['notes', word('notes', 'Notes', 'As an analyst recorded them.')],
];
export const FIND_SPOT: readonly [keyof Catalogue, TableColumn] = [
  'findSpot',
  word('find_spot', 'Find-spot', 'Exact find-spots invite looting: think before you pass this column on.'),
];

type Fact = readonly [TableColumn, (record: SpecimenRecord) => Cell];

/** What a record says of its source and of its numbers as a whole. */
export const FACTS: readonly Fact[] = [
  [word('source_file', 'Source file', 'File that was measured.'), ({ source }) => source.file],
  [word('source_sha256', 'SHA-256', 'Of the bytes of that file.'), ({ source }) => source.sha256],
  [
    word(
      'further_files',
      'Further photographs',
      'Of a piece in several photographs the others, such as B=back.jpg; the source file shows its Face A.',
    ),
    ({ source }) =>
      source.kind === 'photo' ? source.views.map(({ view, file }) => `${view}=${file}`).join(' ') : '',
  ],
  [
    word('unit', 'Unit of the file', 'Unit in which lengths in the file were read; px for a photograph.'),
    ({ source }) => (source.kind === 'scan' ? source.unit : 'px'),
  ],
  [
    word(
      'scale_method',
      'How the scale was set',
      'Of a scan standard, guessed or given; of a photograph mat, bar, points, tag or typed.',
    ),
    ({ source }) => source.scale.method,
  ],
  [word('length_axis', 'Length axis', 'Axis that the measures stand on.'), ({ frame }) => frame.axis],
  [
    word('minimum', 'Minimum values', 'Measures that are minimum values because a part is missing.'),
    ({ measurements }) =>
      measurements
        .filter(({ minimum }) => minimum)
        .map(({ id }) => id)
        .join(' '),
  ],
  [
    word('estimated', 'Estimated values', 'Measures from silhouettes in photographs, not from the surface.'),
    ({ measurements }) =>
      measurements
        .filter(({ estimated }) => estimated)
        .map(({ id }) => id)
        .join(' '),
  ],
  [
    word('warnings', 'Warnings', 'Codes of warnings, parted by spaces.'),
    ({ warnings }) => warnings.map(({ code }) => code).join(' '),
  ],
  [
    word('engine_version', 'Version', 'Version of the program that measured.'),
    ({ engine }) => engine.version,
  ],
];
