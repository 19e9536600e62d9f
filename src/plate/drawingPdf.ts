import fontkit from '@pdf-lib/fontkit';
import {
  beginText,
  closePath,
  concatTransformationMatrix,
  drawObject,
  endText,
  lineTo,
  moveTo,
  PDFDocument,
  type PDFFont,
  type PDFImage,
  PDFOperator,
  PDFOperatorNames,
  type PDFPage,
  PrintScaling,
  popGraphicsState,
  pushGraphicsState,
  setDashPattern,
  setFillingRgbColor,
  setFontAndSize,
  setLineCap,
  setLineJoin,
  setLineWidth,
  setStrokingRgbColor,
  setTextMatrix,
  showText,
  stroke,
} from 'pdf-lib';
import type { Colour, Drawing, ImageItem, Item, PathItem, TextItem, Weight } from './drawing.ts';
import { metadataOfAll } from './drawingWords.ts';
import { printable, type Typefaces } from './typefaces.ts';

/** Points of PDF in a millimetre. */
const POINTS = 72 / 25.4;

/** What the items of one page are written with. */
interface Writing {
  readonly page: PDFPage;
  readonly fonts: Readonly<Record<Weight, PDFFont>>;
  readonly faces: Typefaces;
  readonly images: ReadonlyMap<Uint8Array, PDFImage>;
}

/**
 * Drawings as the pages of one PDF: vector, type embedded, no clock time, so that the same drawings give the same bytes.
 * Asks viewers not to scale it when printing.
 */
export async function drawingPdf(drawings: readonly Drawing[], faces: Typefaces): Promise<Uint8Array> {
  const document = await PDFDocument.create({ updateMetadata: false });
  document.registerFontkit(fontkit);
  const embed = (weight: Weight): Promise<PDFFont> =>
    // Whole, because the package's subsets lose letters; no ligatures or kerning: lines are as wide as they were measured.
    document.embedFont(faces.files[weight], { subset: false, features: PLAIN });
  const fonts = { regular: await embed('regular'), semibold: await embed('semibold') };
  const images = new Map<Uint8Array, PDFImage>();
  for (const png of drawings.flatMap(({ items }) => pngsOf(items))) {
    if (!images.has(png)) images.set(png, await document.embedPng(png));
  }
  for (const { width, height, items } of drawings) {
    const page = document.addPage([width * POINTS, height * POINTS]);
    page.pushOperators(
      pushGraphicsState(),
      // From here on: millimetres, y down.
      concatTransformationMatrix(POINTS, 0, 0, -POINTS, 0, height * POINTS),
      setLineJoin(1),
      ...writeItems(items, { page, fonts, faces, images }),
      popGraphicsState(),
    );
  }
  const { title, subjects, scale, engine, settings } = metadataOfAll(drawings);
  document.setTitle(title, { showInWindowTitleBar: true });
  document.setSubject(`${subjects.join('; ')}. Scale ${scale}; settings SHA-256 ${settings}`);
  document.setCreator(engine);
  document.setProducer(engine);
  document.catalog.getOrCreateViewerPreferences().setPrintScaling(PrintScaling.None);
  return document.save();
}

const PLAIN = { liga: false, kern: false, clig: false, calt: false };

function pngsOf(items: readonly Item[]): Uint8Array[] {
  return items.flatMap((item) =>
    item.kind === 'group' ? pngsOf(item.items) : item.kind === 'image' ? [item.png] : [],
  );
}

function writeItems(items: readonly Item[], writing: Writing): PDFOperator[] {
  return items.flatMap((item) => writeItem(item, writing));
}

function writeItem(item: Item, writing: Writing): PDFOperator[] {
  switch (item.kind) {
    case 'group':
      return [
        pushGraphicsState(),
        concatTransformationMatrix(1, 0, 0, 1, round(item.x), round(item.y)),
        ...writeItems(item.items, writing),
        popGraphicsState(),
      ];
    case 'path':
      return writePath(item);
    case 'text':
      return writeText(item, writing);
    case 'image':
      return writeImage(item, writing);
  }
}

function writePath({ lines, closed, fill, stroke: ink, width = 0.2, dash }: PathItem): PDFOperator[] {
  const set: PDFOperator[] = [];
  if (fill !== undefined) set.push(setFillingRgbColor(...rgb(fill)));
  if (ink !== undefined) {
    set.push(setStrokingRgbColor(...rgb(ink)), setLineWidth(round(width)));
    set.push(setDashPattern([...(dash ?? [])], 0), setLineCap(dash === undefined ? 1 : 0));
  }
  const way = lines.flatMap((points) => {
    const steps: PDFOperator[] = [];
    for (let i = 0; i < points.length; i += 2) {
      steps.push((i === 0 ? moveTo : lineTo)(round(points[i]), round(points[i + 1])));
    }
    return closed ? [...steps, closePath()] : steps;
  });
  const evenOdd = (name: PDFOperatorNames): PDFOperator => PDFOperator.of(name);
  const paint =
    fill === undefined
      ? stroke()
      : evenOdd(ink === undefined ? PDFOperatorNames.FillEvenOdd : PDFOperatorNames.FillEvenOddAndStroke);
  return way.length === 0 ? [] : [...set, ...way, paint];
}

function writeText({ text, x, y, size, weight, anchor, colour }: TextItem, writing: Writing): PDFOperator[] {
  const shown = printable(text);
  if (shown === '') return [];
  const font = writing.fonts[weight];
  const share = { start: 0, middle: 0.5, end: 1 }[anchor];
  const left = x - share * writing.faces.width(shown, size, weight);
  return [
    setFillingRgbColor(...rgb(colour)),
    beginText(),
    setFontAndSize(writing.page.node.newFontDictionary(font.name, font.ref), round(size)),
    // The page runs downward; letters stand up.
    setTextMatrix(1, 0, 0, -1, round(left), round(y)),
    showText(font.encodeText(shown)),
    endText(),
  ];
}

function writeImage({ png, x, y, width, height }: ImageItem, { page, images }: Writing): PDFOperator[] {
  const image = images.get(png);
  if (image === undefined) throw new Error('an image of the drawing was not embedded');
  return [
    pushGraphicsState(),
    concatTransformationMatrix(round(width), 0, 0, round(-height), round(x), round(y + height)),
    drawObject(page.node.newXObject('Image', image.ref)),
    popGraphicsState(),
  ];
}

function rgb(colour: Colour): [number, number, number] {
  const value = Number.parseInt(colour.slice(1), 16);
  return [(value >> 16) / 255, ((value >> 8) & 255) / 255, (value & 255) / 255].map((v) => round(v)) as [
    number,
    number,
    number,
  ];
}

function round(value: number): number {
  if (!Number.isFinite(value)) throw new RangeError(`not a number that can be drawn: ${value}`);
  return Number(value.toFixed(4));
}
