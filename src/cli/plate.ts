import { createHash } from 'node:crypto';
import { mkdir, readFile, stat } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { Command, InvalidArgumentError, Option } from 'commander';
import { type MeasureJob, runMeasureJob } from '../../workers/engine.ts';
import { isFileFault, toFailure } from '../../workers/failure.ts';
import { loadOpencv } from '../../workers/opencv.node.ts';
import { platePiece } from '../../workers/plateJob.ts';
import { isPhoto } from '../intake/photoRead.ts';
import { IntakeError } from '../intake/types.ts';
import type { Drawing } from '../plate/drawing.ts';
import type { FacePicture } from '../plate/faces.ts';
import type { PlatePiece } from '../plate/figure.ts';
import { drawPlates } from '../plate/plate.ts';
import {
  FACES,
  LAYOUTS,
  PAPERS,
  PLACES,
  type PlateStyle,
  PROJECTIONS,
  verifyStyle,
} from '../plate/plateStyle.ts';
import type { Typefaces } from '../plate/typefaces.ts';
import { measurePhoto, type ViewFile } from '../record/measurePhoto.ts';
import { readRecord } from '../record/read.ts';
import { RecordError } from '../record/schema.ts';
import type { AllSettings } from '../record/settings.ts';
import { EXIT } from './exitCodes.ts';
import { type PieceFiles, parseNumber, parseStations, parseViews, settingsFile } from './options.ts';
import { realPaths, realTarget, writeAtomically } from './outputFiles.ts';
import { progressLine } from './progress.ts';
import { plain } from './table.ts';

const FORMATS = ['svg', 'pdf', 'png'] as const;
type Format = (typeof FORMATS)[number];

interface PlateOptions extends Partial<Omit<PlateStyle, 'lines' | 'type' | 'name' | 'findSpot'>> {
  readonly style?: string;
  readonly settings?: string;
  readonly photo: readonly PieceFiles[];
  readonly findSpot?: true;
  readonly format: readonly Format[];
  readonly dpi: number;
  readonly name: string;
  readonly out: string;
  readonly quiet?: true;
}

export function plateCommand(): Command {
  return new Command('plate')
    .description(
      'draw plates to print: faces, edge-on views and sections at true scale, one piece or a series',
    )
    .argument(
      '[file...]',
      'specimen records (.json), drawn in outline; or scans and photographs with a scale, which are measured',
    )
    .addOption(
      new Option(
        '--photo <views>',
        'photographs of one piece, such as A=face.jpg,B=back.jpg (also left=, right=, tip=); may be given again',
      )
        .argParser(parseViews)
        .default([], 'none'),
    )
    .option(
      '--settings <file>',
      'how scans and photographs are measured, as JSON, or a record to take it from (default: the default settings)',
    )
    .requiredOption('-o, --out <dir>', 'folder for the results; made if missing')
    .option('--name <name>', 'name of the files without ending', 'plate')
    .option('--format <list>', 'svg, pdf, png or several, such as svg,pdf', parseFormats, ['svg', 'pdf'])
    .option('--style <file>', 'look of the plate as JSON; what is typed here comes on top')
    .addOption(new Option('--layout <layout>', 'views of each piece (default: full)').choices(LAYOUTS))
    .option('--scale <scale>', '1:1, 2:3 … or auto, the greatest in use that fits (default: auto)')
    .addOption(new Option('--paper <paper>', 'paper (default: A4)').choices(Object.keys(PAPERS)))
    .option('--landscape', 'paper on its side')
    .option('--trim', 'pages cut to the figure')
    .addOption(new Option('--face <face>', 'how faces are drawn (default: relief)').choices(FACES))
    .addOption(new Option('--projection <kind>', 'default: third-angle').choices(PROJECTIONS))
    .option('--stations <list>', 'sections drawn, percent of length, rising, such as 25,50,75', parseStations)
    .addOption(new Option('--sections <place>', 'where sections stand (default: below)').choices(PLACES))
    .option('--hatch', 'hatch the sections')
    .option('--find-spot', 'print find-spots, which are left out otherwise')
    .option('--dpi <n>', 'dots an inch of PNG, 300 to 1200', parseDpi, 600)
    .option('-q, --quiet', 'print nothing but errors')
    .addHelpText(
      'after',
      '\nExit code: 0 drawn, 2 usage, 3 a file could not be used or written, 1 a fault in the program.',
    )
    .action(async (files: string[], options: PlateOptions) => {
      process.exitCode = await writePlates(files, options);
    });
}

function parseFormats(text: string): Format[] {
  const words = text.split(',').map((word) => word.trim().toLowerCase());
  const wrong = words.find((word) => !FORMATS.some((known) => known === word));
  if (wrong !== undefined) throw new InvalidArgumentError(`It may hold ${FORMATS.join(', ')}.`);
  return FORMATS.filter((known) => words.includes(known));
}

function parseDpi(text: string): number {
  const dpi = parseNumber(text);
  if (!Number.isInteger(dpi) || dpi < 300 || dpi > 1200) {
    throw new InvalidArgumentError('It must be a whole number from 300 to 1200.');
  }
  return dpi;
}

async function writePlates(files: readonly string[], options: PlateOptions): Promise<number> {
  let style: PlateStyle;
  let settings: AllSettings;
  try {
    if (files.length === 0 && options.photo.length === 0) {
      throw new RecordError('files', 'missing a file to draw (or photographs with --photo)');
    }
    if (options.name !== basename(options.name) || /^\.*$/.test(options.name)) {
      throw new RecordError('name', '--name is the name of a file, without folders');
    }
    style = await styleFrom(options);
    settings = withStations(await settingsFile(options.settings), style);
    await mkdir(options.out, { recursive: true });
  } catch (error) {
    console.error(`knapgauge: ${plain((error as Error).message)}`);
    return EXIT.usage;
  }
  const line = progressLine(process.stderr, options.quiet !== true);
  const pieces: PlatePiece[] = [];
  const wanted: readonly PieceFiles[] = [...files.map((path) => ({ path })), ...options.photo];
  for (const [index, { path, views }] of wanted.entries()) {
    line.show(`${index}/${wanted.length}  ${basename(path)}`);
    try {
      const piece = await readPiece(path, views, style, settings);
      pieces.push(piece);
      const missing = withoutFaceB(piece, style);
      line.clear();
      if (missing !== undefined) console.error(`knapgauge: ${plain(path)}: ${missing}`);
    } catch (error) {
      line.clear();
      return report(path, error);
    }
  }
  line.clear();
  try {
    const { typefacesInNode } = await import('../plate/fontsNode.ts');
    const faces = await typefacesInNode();
    const drawings = drawPlates(pieces, style, faces, settingsHash(pieces, style));
    const inputs = wanted.flatMap(({ path, views = [] }) => [path, ...views.map((view) => view.path)]);
    const written = await save(drawings, faces, options, await realPaths(inputs));
    if (options.quiet !== true) {
      const count = `${pieces.length} ${pieces.length === 1 ? 'piece' : 'pieces'}`;
      console.log(
        `${count} at ${drawings[0].metadata.scale} on ${style.paper}: ${written.map(plain).join(', ')}`,
      );
    }
    return EXIT.fine;
  } catch (error) {
    return report(options.out, error);
  }
}

async function styleFrom(options: PlateOptions): Promise<PlateStyle> {
  let asked: unknown = {};
  if (options.style !== undefined) {
    try {
      asked = verifyStyle(JSON.parse(await readFile(options.style, 'utf8')));
    } catch (error) {
      throw new RecordError('style-file', `${options.style}: ${(error as Error).message}`);
    }
  }
  const { layout, scale, paper, landscape, trim, face, projection, stations, sections, hatch, findSpot } =
    options;
  const typed = Object.entries({
    layout,
    scale,
    paper,
    landscape,
    trim,
    face,
    projection,
    stations,
    sections,
    hatch,
    findSpot,
  });
  return verifyStyle({
    ...(asked as object),
    ...Object.fromEntries(typed.filter(([, value]) => value !== undefined)),
  });
}

/** The settings measure the sections that the plate is to show. */
function withStations(settings: AllSettings, { stations }: PlateStyle): AllSettings {
  const { measure } = settings;
  const sectionStations = [...new Set([...measure.sectionStations, ...stations])].sort((a, b) => a - b);
  return { ...settings, measure: { ...measure, sectionStations } };
}

/** A record is JSON text; everything else is taken for a scan or a photograph and measured. */
async function readPiece(
  path: string,
  views: PieceFiles['views'],
  style: PlateStyle,
  settings: AllSettings,
): Promise<PlatePiece> {
  const bytes = await bytesOf(path);
  if (views === undefined && path.toLowerCase().endsWith('.json')) {
    return { record: readRecord(Buffer.from(bytes).toString('utf8')) };
  }
  const job = { bytes, fileName: basename(path), settings };
  if (views === undefined && !isPhoto(bytes)) return platePiece(await runMeasureJob(job), style);
  const further: ViewFile[] = [];
  for (const { view, path: file } of views ?? []) {
    further.push({ view, bytes: await bytesOf(file), fileName: basename(file) });
  }
  return photoPiece(job, further, style);
}

async function bytesOf(path: string): Promise<Uint8Array> {
  if (!(await stat(path)).isFile()) throw new IntakeError('not-a-file', `${basename(path)} is not a file.`);
  return readFile(path);
}

/** A photographed piece, cut out of its pictures along what was traced. */
async function photoPiece(
  { bytes, fileName, settings }: MeasureJob,
  views: readonly ViewFile[],
  style: PlateStyle,
): Promise<PlatePiece> {
  const [{ cv }, { decodeInNode }, { default: sharp }, { cutOut, ringsOf }] = await Promise.all([
    loadOpencv(),
    import('../intake/photoNode.ts'),
    import('sharp'),
    import('../../workers/photoDrawing.ts'),
  ]);
  const tools = { decode: decodeInNode, cv };
  const measured = await measurePhoto(bytes, fileName, settings, tools, {}, {}, views);
  const { record, faceB } = measured;
  if (style.face !== 'relief') return { record };
  const picture = async (
    { photo, scale, traced }: Pick<typeof measured, 'photo' | 'scale' | 'traced'>,
    behind: boolean,
  ): Promise<FacePicture> => {
    const { pixels, x, y, width, height } = cutOut(photo, scale, traced, behind);
    const raw = { width: pixels.width, height: pixels.height, channels: 4 } as const;
    const png = await sharp(pixels.rgba, { raw }).png().toBuffer();
    return { png, left: x, top: y + height, width, height };
  };
  const a = await picture(measured, false);
  if (faceB === undefined) return { record, faces: { a } };
  const b = { ...(await picture(faceB, true)), outline: ringsOf(faceB.traced) };
  return { record, faces: { a, b } };
}

/** Why a plate that asks for both faces shows one of a piece that has photographs of both; undefined where it does not. */
function withoutFaceB({ record, faces }: PlatePiece, { layout, face }: PlateStyle): string | undefined {
  const { source } = record;
  if (layout === 'plan' || faces?.b !== undefined || source.kind !== 'photo') return undefined;
  if (!source.views?.some(({ view }) => view === 'B')) return undefined;
  if (face !== 'relief') return 'Face B is not drawn: of photographs it is drawn with --face relief.';
  if (faces?.a !== undefined) return 'Face B is not drawn: its outline is not that of Face A.';
  return 'Face B is not drawn: a record holds no pictures. Give its photographs with --photo, and the record with --settings.';
}

function settingsHash(pieces: readonly PlatePiece[], style: PlateStyle): string {
  const made = JSON.stringify({ style, pieces: pieces.map(({ record }) => record.settings) });
  return createHash('sha256').update(made).digest('hex');
}

async function save(
  drawings: readonly Drawing[],
  faces: Typefaces,
  { out, name, format, dpi }: PlateOptions,
  inputs: ReadonlySet<string>,
): Promise<string[]> {
  // The writers are large: only who draws plates waits for them.
  const [{ drawingSvg }, { drawingPng }, { drawingPdf }] = await Promise.all([
    import('../plate/drawingSvg.ts'),
    import('../plate/drawingPngNode.ts'),
    import('../plate/drawingPdf.ts'),
  ]);
  const written: string[] = [];
  const put = async (ending: string, data: string | Uint8Array): Promise<void> => {
    const path = join(out, `${name}${ending}`);
    if (inputs.has(await realTarget(path)))
      throw new RecordError('not-written', `${path} is one of the inputs: choose another --name or --out.`);
    await writeAtomically(path, data);
    written.push(path);
  };
  for (const [i, drawing] of drawings.entries()) {
    const page = drawings.length === 1 ? '' : `-${i + 1}`;
    if (format.includes('svg')) await put(`${page}.svg`, drawingSvg(drawing));
    if (format.includes('png')) await put(`${page}.png`, await drawingPng(drawing, faces, dpi));
  }
  if (format.includes('pdf')) await put('.pdf', await drawingPdf(drawings, faces));
  return written;
}

function report(path: string, error: unknown): number {
  if (error instanceof Error && 'syscall' in error) {
    console.error(`knapgauge: ${plain(path)}: ${plain(error.message)}.`);
    return EXIT.file;
  }
  const failure = toFailure(error);
  const ours = !isFileFault(failure);
  console.error(
    `knapgauge: ${plain(path)}: ${plain(failure.message)}${ours ? ` (a fault in the program: ${failure.name})` : ''}`,
  );
  return ours ? EXIT.fault : EXIT.file;
}
