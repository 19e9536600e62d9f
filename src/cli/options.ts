import { readFile } from 'node:fs/promises';
import { InvalidArgumentError, Option } from 'commander';
import type { ScaleSettings } from '../intake/photoTypes.ts';
import type { LengthUnit } from '../intake/types.ts';
import { MESH_KINDS } from '../record/meshFile.ts';
import { RecordError } from '../record/schema.ts';
import { type AllSettings, DEFAULT_SETTINGS, readSettings, verifySettings } from '../record/settings.ts';
import { type AxisId, type PhotoSettings, VIEWS, type ViewName } from '../trace/types.ts';

const MM_PER_INCH = 25.4;

/** Options of `measure` and `drawer` that stand for settings, as commander hands them over. */
export interface SettingOptions {
  readonly unit?: LengthUnit;
  readonly thin?: number;
  readonly axis?: AxisId;
  readonly base?: readonly number[];
  readonly tip?: readonly number[];
  readonly flipFace?: true;
  readonly flipTip?: true;
  readonly density?: number;
  readonly mass?: number;
  readonly stations?: readonly number[];
  readonly mat?: true;
  readonly printedBar?: number;
  readonly bar?: number;
  readonly block?: number;
  readonly points?: readonly number[];
  readonly length?: number;
  readonly ppmm?: number;
  readonly dpi?: number | true;
  readonly cameraDistance?: number;
  readonly thickness?: number;
  readonly piece?: number;
  readonly flipEdgeOn?: true;
  /** What is told of further photographs of a piece alone; in a list. */
  readonly viewOptions?: readonly ViewOptions[];
}

export interface ViewOptions {
  readonly view: ViewName;
  readonly options: Omit<SettingOptions, 'viewOptions'>;
}

/** The file of a piece, and further photographs of it where `path` is its Face A. */
export interface PieceFiles {
  readonly path: string;
  readonly views?: readonly { readonly view: ViewName; readonly path: string }[];
}

/**
 * Lays what was typed over the settings of a file (or the defaults); a way to the scale of photographs takes the place of another.
 * Throws a RecordError for what can't be used.
 */
export function settingsFrom(options: SettingOptions, file: AllSettings): AllSettings {
  const { unit, thin, axis, base, tip, flipFace, flipTip, density, mass, stations } = options;
  return verifySettings({
    scan: { ...file.scan, ...present({ unit, thin }) },
    trace: { ...file.trace, ...present({ axis, base, tip, flipFace, flipTip }) },
    measure: { ...file.measure, ...present({ density, mass, sectionStations: stations }) },
    ...photoPart(options, file.photo),
  });
}

/** Settings as JSON, or those of a record; the default ones where no file is named. Throws a RecordError. */
export async function settingsFile(path: string | undefined): Promise<AllSettings> {
  if (path === undefined) return DEFAULT_SETTINGS;
  try {
    return readSettings(await readFile(path, 'utf8'));
  } catch (error) {
    throw new RecordError('settings-file', `${path}: ${(error as Error).message}`);
  }
}

/** What was typed of a photograph's scale. Throws a RecordError when more than one way is asked for. */
function photoPart(
  options: SettingOptions,
  file: PhotoSettings | undefined,
): { photo?: Record<string, unknown> } {
  const {
    mat,
    printedBar,
    bar,
    block,
    points,
    length,
    ppmm,
    dpi,
    cameraDistance,
    thickness,
    piece,
    flipEdgeOn,
  } = options;
  const ways: readonly (readonly [ScaleSettings['method'], boolean])[] = [
    ['mat', mat === true],
    ['bar', bar !== undefined || block !== undefined],
    ['points', points !== undefined],
    ['typed', ppmm !== undefined || typeof dpi === 'number'],
    ['tag', dpi === true],
  ];
  const asked = ways.filter(([, on]) => on).map(([way]) => way);
  if (asked.length > 1) {
    throw new RecordError(
      'settings-value',
      'One way to the scale of photographs at a time: --mat, --bar or --block, --points, --ppmm or --dpi.',
    );
  }
  const typed = typeof dpi === 'number' ? dpi / MM_PER_INCH : ppmm;
  const photo = {
    ...(asked.length === 0 ? file : withoutWay(file)),
    ...present({
      method: asked[0],
      printedBar,
      block,
      length: bar ?? length,
      points,
      pxPerMm: typed,
      cameraDistance,
      thickness,
      piece,
      flipEdgeOn,
      views: viewsPart(options.viewOptions, file),
    }),
  };
  return Object.keys(photo).length === 0 ? {} : { photo };
}

/** What is told of a view takes the place of all that the settings told of it. */
function viewsPart(
  told: SettingOptions['viewOptions'] = [],
  file: PhotoSettings | undefined,
): readonly object[] | undefined {
  if (told.length === 0) return undefined;
  const before = (file?.views ?? []).filter(({ view }) => told.every((other) => other.view !== view));
  return [...before, ...told.map(({ view, options }) => ({ ...photoPart(options, undefined).photo, view }))];
}

/** Without the way to the scale: what one way needs would mean something else to another. */
function withoutWay(file: PhotoSettings | undefined): Partial<PhotoSettings> {
  const { method: _, block: __, length: ___, points: ____, pxPerMm: _____, ...rest } = file ?? {};
  return rest;
}

function present(entries: Readonly<Record<string, unknown>>): Record<string, unknown> {
  return Object.fromEntries(Object.entries(entries).filter(([, value]) => value !== undefined));
}

export function parseNumber(text: string): number {
  const value = Number(text);
  if (text.trim() === '' || !Number.isFinite(value)) throw new InvalidArgumentError('It must be a number.');
  return value;
}

/** `50`, `50mm` or `5cm` → 50. */
export function parseMillimetres(text: string): number {
  const match = /^\s*([\d.]+)\s*(mm|cm)?\s*$/.exec(text);
  const value = match === null ? NaN : Number(match[1]) * (match[2] === 'cm' ? 10 : 1);
  if (!Number.isFinite(value) || value <= 0)
    throw new InvalidArgumentError('It must be a length such as 50mm.');
  return value;
}

/** `A=face.jpg,B=back.jpg,left=edge.jpg`: views of one piece, added to those of the pieces before. */
export function parseViews(text: string, before: readonly PieceFiles[]): PieceFiles[] {
  const paths = new Map<string, string>();
  // A comma may stand in a path: only one before the name of a view parts.
  for (const part of text.split(/,(?=(?:A|B|left|right|tip)=)/)) {
    const [, view, path] = /^(A|B|left|right|tip)=(.+)$/.exec(part) ?? [];
    if (view === undefined || paths.has(view)) {
      throw new InvalidArgumentError(
        'It must name each view once, such as A=face.jpg,B=back.jpg,left=edge.jpg.',
      );
    }
    paths.set(view, path);
  }
  const path = paths.get('A');
  if (path === undefined) throw new InvalidArgumentError('Face A is missing: A=face.jpg.');
  const views = VIEWS.flatMap((view) => {
    const found = paths.get(view);
    return found === undefined ? [] : [{ view, path: found }];
  });
  return [...before, { path, views }];
}

/** `10,20,50` → [10, 20, 50]. */
export function parseList(text: string): number[] {
  return text.split(',').map(parseNumber);
}

/**
 * `10,25,50` → [10, 25, 50]: rising, so that 12,5 and 33,3,66,7, which are decimals where a comma is the decimal point, are not
 * taken for stations at 12 and 5.
 */
export function parseStations(text: string): number[] {
  const stations = parseList(text);
  if (stations.some((station, k) => k > 0 && station <= stations[k - 1])) {
    throw new InvalidArgumentError('They must rise, such as 10,25,50; decimals have a point, such as 12.5.');
  }
  return stations;
}

export function parseCount(text: string): number {
  const value = parseNumber(text);
  if (!Number.isInteger(value) || value < 1) {
    throw new InvalidArgumentError('It must be a whole number, 1 or more.');
  }
  return value;
}

export function jobsOption(): Option {
  return new Option(
    '--jobs <n>',
    'pieces measured at once (default: one a core, of large photographs as many as memory allows)',
  ).argParser(parseCount);
}

export function thinOption(): Option {
  return new Option(
    '--thin <triangles>',
    'thin scans of more triangles to about so many before they are measured (default: measure them whole)',
  ).argParser(parseCount);
}

export function meshOption(): Option {
  return new Option(
    '--mesh <format>',
    'write the surface too, turned into the specimen frame (PLY in mm; GLB in metres, as its standard says)',
  ).choices([...MESH_KINDS]);
}
