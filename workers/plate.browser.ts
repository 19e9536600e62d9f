import regular from '@expo-google-fonts/source-sans-3/400Regular/SourceSans3_400Regular.ttf?url';
import semibold from '@expo-google-fonts/source-sans-3/600SemiBold/SourceSans3_600SemiBold.ttf?url';
import { expose } from 'comlink';
import type { Drawing } from '../src/plate/drawing.ts';
import { drawingPdf } from '../src/plate/drawingPdf.ts';
import { dotsOf, drawingSvg } from '../src/plate/drawingSvg.ts';
import { pngWords } from '../src/plate/drawingWords.ts';
import type { FacePicture, FacePictures } from '../src/plate/faces.ts';
import type { PlatePiece } from '../src/plate/figure.ts';
import { drawPlates } from '../src/plate/plate.ts';
import type { PlateStyle } from '../src/plate/plateStyle.ts';
import { type PngStream, pngStream } from '../src/plate/pngStream.ts';
import { readTypefaces, type Typefaces } from '../src/plate/typefaces.ts';
import { sha256Hex } from '../src/record/sha256.ts';
import type { Relief } from './messages.ts';
import type { PlateApi, PlateOrder, PlateSubject } from './plateMessages.ts';
import { PlateViews } from './plateViews.ts';

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

async function pictureOf({ image, x, y, width, height, outline }: Relief): Promise<FacePicture> {
  const place = { left: x, top: y + height, width, height };
  const own = outline === undefined ? {} : { outline };
  return { png: new Uint8Array(await image.arrayBuffer()), ...place, ...own };
}

const subjects = new Map<string, PlateSubject>();
const views = new PlateViews();

async function pieceOf(key: string, style: PlateStyle): Promise<PlatePiece[]> {
  const subject = subjects.get(key);
  if (subject === undefined) return [];
  const { record } = subject;
  const faces = views.facesOf(key, style) ?? (style.face === 'relief' ? await atHand(subject) : undefined);
  return [{ record, sections: views.sectionsOf(key), ...(faces === undefined ? {} : { faces }) }];
}

/** The drawer's own pictures of the faces: of a photograph the piece cut from it, of a scan until it has been read. */
async function atHand({ reliefA, reliefB }: PlateSubject): Promise<FacePictures> {
  const a = await pictureOf(reliefA);
  return reliefB === undefined ? { a } : { a, b: await pictureOf(reliefB) };
}

/** What views drawn from a scan rest on. */
function scanOf({ record: { id, frame, settings } }: PlateSubject): string {
  return JSON.stringify([id, frame.matrix, settings.scan]);
}

async function drawn({ keys, style }: PlateOrder): Promise<Drawing[]> {
  const pieces = (await Promise.all(keys.map((key) => pieceOf(key, style)))).flat();
  const made = JSON.stringify({ style, pieces: pieces.map(({ record }) => record.settings) });
  return drawPlates(pieces, style, await faces(), await sha256Hex(new TextEncoder().encode(made)));
}

const svgFile = (text: string): Blob => new Blob([text], { type: 'image/svg+xml' });

const api: PlateApi = {
  hold(key, subject) {
    const before = subjects.get(key);
    if (before === undefined || scanOf(before) !== scanOf(subject)) views.forget(key);
    subjects.set(key, subject);
  },
  drop(keys) {
    for (const key of keys) {
      subjects.delete(key);
      views.forget(key);
    }
  },
  async draw(order, asked) {
    const drawings = await drawn(order);
    const page = Math.min(asked, drawings.length - 1);
    const lacking = order.keys.filter((key) => {
      const subject = subjects.get(key);
      return subject !== undefined && views.lacks(key, subject.record, order.style);
    });
    return {
      picture: svgFile(drawingSvg(drawings[page], undefined, await faces())),
      page,
      pages: drawings.length,
      scale: drawings[0].metadata.scale,
      lacking,
    };
  },
  async prepare(key, scan, style) {
    const subject = subjects.get(key);
    if (subject !== undefined) await views.prepare(key, subject.record, scan, style);
  },
  async svg(order) {
    return (await drawn(order)).map((drawing) => svgFile(drawingSvg(drawing)));
  },
  async dots(order, dpi, page) {
    const drawing = (await drawn(order))[page];
    return {
      svg: svgFile(drawingSvg(drawing, { faces: await faces(), dpi })),
      ...dotsOf(drawing, dpi),
      words: pngWords(drawing),
    };
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
  async pdf(order) {
    const bytes = await drawingPdf(await drawn(order), await faces());
    return new Blob([bytes as Uint8Array<ArrayBuffer>], { type: 'application/pdf' });
  },
};

expose(api);
