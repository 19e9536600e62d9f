import regular from '@expo-google-fonts/source-sans-3/400Regular/SourceSans3_400Regular.ttf?url';
import semibold from '@expo-google-fonts/source-sans-3/600SemiBold/SourceSans3_600SemiBold.ttf?url';
import { expose } from 'comlink';
import type { Drawing } from '../src/plate/drawing.ts';
import { drawingPdf } from '../src/plate/drawingPdf.ts';
import { dotsOf, drawingSvg } from '../src/plate/drawingSvg.ts';
import { pngWords } from '../src/plate/drawingWords.ts';
import type { FacePicture } from '../src/plate/faces.ts';
import type { PlatePiece } from '../src/plate/figure.ts';
import { drawPlates } from '../src/plate/plate.ts';
import type { PlateStyle } from '../src/plate/plateStyle.ts';
import { type PngStream, pngStream } from '../src/plate/pngStream.ts';
import { readTypefaces, type Typefaces } from '../src/plate/typefaces.ts';
import { sha256Hex } from '../src/record/sha256.ts';
import type { Relief } from './messages.ts';
import type { PlateApi, PlateSubject } from './plateMessages.ts';

let png: PngStream | undefined;
let typefaces: Promise<Typefaces> | undefined;

async function bytesAt(address: string): Promise<Uint8Array> {
  const response = await fetch(address);
  if (!response.ok) throw new Error('The type of the plate could not be loaded: reload the page.');
  return new Uint8Array(await response.arrayBuffer());
}

function faces(): Promise<Typefaces> {
  typefaces ??= Promise.all([bytesAt(regular), bytesAt(semibold)]).then(([light, heavy]) =>
    readTypefaces({ regular: light, semibold: heavy }),
  );
  return typefaces;
}

async function pictureOf({ image, x, y, width, height }: Relief): Promise<FacePicture> {
  return { png: new Uint8Array(await image.arrayBuffer()), left: x, top: y + height, width, height };
}

async function pieceOf({ record, reliefA, reliefB }: PlateSubject, style: PlateStyle): Promise<PlatePiece> {
  if (style.face !== 'relief') return { record };
  const a = await pictureOf(reliefA);
  return { record, faces: reliefB === undefined ? { a } : { a, b: await pictureOf(reliefB) } };
}

async function drawn(subjects: readonly PlateSubject[], style: PlateStyle): Promise<Drawing[]> {
  const pieces = await Promise.all(subjects.map((subject) => pieceOf(subject, style)));
  const made = JSON.stringify({ style, pieces: pieces.map(({ record }) => record.settings) });
  return drawPlates(pieces, style, await faces(), await sha256Hex(new TextEncoder().encode(made)));
}

const svgFile = (text: string): Blob => new Blob([text], { type: 'image/svg+xml' });

const api: PlateApi = {
  async draw(subjects, style) {
    const drawings = await drawn(subjects, style);
    const type = await faces();
    const pages = drawings.map((drawing) => svgFile(drawingSvg(drawing, undefined, type)));
    return { pages, scale: drawings[0].metadata.scale };
  },
  async svg(subjects, style) {
    return (await drawn(subjects, style)).map((drawing) => svgFile(drawingSvg(drawing)));
  },
  async dots(subjects, style, dpi) {
    const type = await faces();
    return (await drawn(subjects, style)).map((drawing) => ({
      svg: svgFile(drawingSvg(drawing, { faces: type, dpi })),
      ...dotsOf(drawing, dpi),
      words: pngWords(drawing),
    }));
  },
  openPng(width, height, dpi, words) {
    png = pngStream(width, height, dpi, words);
  },
  addBand(band) {
    const { width, height } = band;
    const context = new OffscreenCanvas(width, height).getContext('2d', { willReadFrequently: true });
    if (context === null || png === undefined) throw new Error('The picture could not be written.');
    context.drawImage(band, 0, 0);
    band.close();
    png.add(context.getImageData(0, 0, width, height).data);
  },
  closePng() {
    if (png === undefined) throw new Error('The picture could not be written.');
    const parts = png.finish();
    png = undefined;
    return new Blob(parts, { type: 'image/png' });
  },
  async pdf(subjects, style) {
    const bytes = await drawingPdf(await drawn(subjects, style), await faces());
    return new Blob([bytes as Uint8Array<ArrayBuffer>], { type: 'application/pdf' });
  },
};

expose(api);
