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
import { measurePhoto } from '../record/measurePhoto.ts';
import { readRecord } from '../record/read.ts';
import { RecordError } from '../record/schema.ts';
import { DEFAULT_SETTINGS } from '../record/settings.ts';
import { EXIT } from './exitCodes.ts';
import { parseList, parseNumber } from './options.ts';
import { realPaths, realTarget, writeAtomically } from './outputFiles.ts';
import { progressLine } from './progress.ts';
import { plain } from './table.ts';

const FORMATS = ['svg', 'pdf', 'png'] as const;
type Format = (typeof FORMATS)[number];

interface PlateOptions extends Partial<Omit<PlateStyle, 'lines' | 'type' | 'name' | 'findSpot'>> {
  readonly style?: string;
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
      '<file...>',
      'specimen records (.json), or scans and photographs with a scale, which are measured with default settings',
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
    .option('--stations <list>', 'sections drawn, percent of length, such as 25,50,75', parseList)
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
  try {
    if (options.name !== basename(options.name) || /^\.*$/.test(options.name)) {
      throw new RecordError('name', '--name is the name of a file, without folders');
    }
    style = await styleFrom(options);
    await mkdir(options.out, { recursive: true });
  } catch (error) {
    console.error(`knapgauge: ${plain((error as Error).message)}`);
    return EXIT.usage;
  }
  const line = progressLine(process.stderr, options.quiet !== true);
  const pieces: PlatePiece[] = [];
  for (const [index, path] of files.entries()) {
    line.show(`${index}/${files.length}  ${basename(path)}`);
    try {
      pieces.push(await readPiece(path, style));
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
    const written = await save(drawings, faces, options, await realPaths(files));
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

/** A record is JSON text; everything else is taken for a scan and measured so that it has the sections asked for. */
async function readPiece(path: string, style: PlateStyle): Promise<PlatePiece> {
  if (!(await stat(path)).isFile()) throw new IntakeError('not-a-file', 'This is not a file.');
  const bytes = await readFile(path);
  if (path.toLowerCase().endsWith('.json')) return { record: readRecord(bytes.toString('utf8')) };
  const { measure } = DEFAULT_SETTINGS;
  const sectionStations = [...new Set([...measure.sectionStations, ...style.stations])].sort((a, b) => a - b);
  const settings = { ...DEFAULT_SETTINGS, measure: { ...measure, sectionStations } };
  const job = { bytes, fileName: basename(path), settings };
  return isPhoto(bytes) ? photoPiece(job, style) : platePiece(await runMeasureJob(job), style);
}

/** A photograph that tells its own scale, the piece in it cut out along what was traced. */
async function photoPiece({ bytes, fileName, settings }: MeasureJob, style: PlateStyle): Promise<PlatePiece> {
  const [{ cv }, { decodeInNode }, { default: sharp }, { cutOut }] = await Promise.all([
    loadOpencv(),
    import('../intake/photoNode.ts'),
    import('sharp'),
    import('../../workers/photoDrawing.ts'),
  ]);
  const measured = await measurePhoto(bytes, fileName, settings, { decode: decodeInNode, cv });
  const { record, photo, scale, traced } = measured;
  if (style.face !== 'relief') return { record };
  const { pixels, x, y, width, height } = cutOut(photo, scale, traced);
  const raw = { width: pixels.width, height: pixels.height, channels: 4 } as const;
  const png = await sharp(pixels.rgba, { raw }).png().toBuffer();
  return { record, faces: { a: { png, left: x, top: y + height, width, height } } };
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
