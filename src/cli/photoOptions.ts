import { InvalidArgumentError, Option } from 'commander';
import { pointed } from '../drawer/csvRows.ts';
import { clip } from '../intake/wording.ts';
import { VIEWS } from '../trace/types.ts';
import { parseCount, parseList, parseMillimetres, parseNumber, type SettingOptions } from './options.ts';

const OPTIONS: readonly (readonly [flags: string, text: string, parse?: (text: string) => unknown])[] = [
  ['--flip-edge-on', 'swap tip and base of the edge-on view'],
  ['--mat', 'scale by the scale mat in the picture'],
  ['--printed-bar <mm>', 'what the 100 mm bar of the printed mat really measures', parseNumber],
  ['--bar <length>', 'scale by the bar in the picture, so long as a whole, such as 50mm', parseMillimetres],
  ['--block <length>', 'scale by the bar in the picture, one block of it so long', parseMillimetres],
  ['--points <x0,y0,x1,y1>', 'two points of the picture, pixels, for --length', parseList],
  [
    '--length <length>',
    'length between the two points; without them that of the bar, where a picture shows no mat',
    parseMillimetres,
  ],
  ['--ppmm <n>', 'pixels in one millimetre', parseNumber],
  ['--dpi [n]', 'pixels in one inch; without a number what the file says', parseNumber],
  ['--camera-distance <mm>', 'from the camera to what the piece lies on', parseNumber],
  ['--thickness <mm>', 'of the piece, for the parallax over a mat', parseNumber],
  ['--piece <n>', 'which of several pieces in the picture, largest first', parseCount],
];

/** What may be told of photographs, as options of a command. */
export function photoOptions(): readonly Option[] {
  return OPTIONS.map(([flags, text, parse]) => {
    const option = new Option(flags, text);
    return parse === undefined ? option : option.argParser(parse);
  });
}

/** The same as columns of a list: `--printed-bar 99.8` is `99.8` in the column `printed_bar`, `--mat` is `yes` in the column `mat`. */
const COLUMNS: ReadonlyMap<string, Option> = new Map(
  photoOptions().map((option) => [option.name().replaceAll('-', '_'), option]),
);
export const PHOTO_COLUMNS: readonly string[] = [...COLUMNS.keys()];

/** Those that may be told of a further photograph alone, as in `left_bar`: a scale of its own, and which piece it shows. */
const OF_VIEW: readonly string[] = PHOTO_COLUMNS.filter(
  (column) => column !== 'flip_edge_on' && column !== 'thickness',
);
export const VIEW_COLUMNS: readonly string[] = VIEWS.flatMap((view) =>
  OF_VIEW.map((column) => `${view}_${column}`),
);

/** What the row of a list tells of photographs; empty cells tell nothing. `refuse` is told what is wrong with a cell. */
export function photoOptionsOfRow(
  row: ReadonlyMap<string, string>,
  delimiter: string,
  refuse: (what: string) => never,
): SettingOptions {
  const views = VIEWS.flatMap((view) => {
    const options = optionsIn(row, `${view}_`, OF_VIEW, delimiter, refuse);
    if (Object.keys(options).length === 0) return [];
    if ((row.get(view) ?? '') === '')
      refuse(`something is told of the view ${view}, and no photograph shows it`);
    return [{ view, options }];
  });
  const ofFaceA = optionsIn(row, '', PHOTO_COLUMNS, delimiter, refuse);
  return views.length === 0 ? ofFaceA : { ...ofFaceA, viewOptions: views };
}

/** What the columns tell whose names are those with `prefix`. */
function optionsIn(
  row: ReadonlyMap<string, string>,
  prefix: string,
  columns: readonly string[],
  delimiter: string,
  refuse: (what: string) => never,
): Omit<SettingOptions, 'viewOptions'> {
  const told = columns.flatMap((column): [string, unknown][] => {
    const option = COLUMNS.get(column) as Option;
    const text = row.get(prefix + column) ?? '';
    if (text === '' || (!option.required && text === 'no')) return [];
    // The commas of places part them.
    const cell = column === 'points' ? text : pointed(text, delimiter);
    const wrong = (why: string): never => refuse(`${prefix}${column} is "${clip(text)}". ${why}`);
    return [[option.attributeName(), cellValue(option, cell, wrong)]];
  });
  const options: Omit<SettingOptions, 'viewOptions'> = Object.fromEntries(told);
  // A column of that name may well hold what a hand measured of the piece, which is no scale.
  if (options.length !== undefined && options.points === undefined) {
    refuse(`${prefix}length is that between two points of the picture, and there are no points`);
  }
  return options;
}

function cellValue(option: Option, text: string, refuse: (why: string) => never): unknown {
  if (!option.required && text === 'yes') return true;
  if (option.parseArg === undefined) return refuse('It must be yes or no.');
  try {
    return option.parseArg(text, undefined as never);
  } catch (error) {
    if (error instanceof InvalidArgumentError) return refuse(error.message);
    throw error;
  }
}
