import sharp from 'sharp';
import type { Drawing } from './drawing.ts';
import { drawingSvg } from './drawingSvg.ts';
import { pngWords } from './drawingWords.ts';
import { withResolution, withWords } from './png.ts';
import type { Typefaces } from './typefaces.ts';

/** A drawing as PNG with its resolution, in Node. `dpi` from 72 to 1200. */
export async function drawingPng(drawing: Drawing, faces: Typefaces, dpi: number): Promise<Uint8Array> {
  const svg = Buffer.from(drawingSvg(drawing, { faces, dpi }));
  // The SVG's size is in dots already; at the default density one of its units is one dot.
  const png = await sharp(svg, { unlimited: true, limitInputPixels: 500_000_000 })
    .flatten({ background: '#ffffff' })
    .png()
    .toBuffer();
  return withWords(withResolution(png, dpi), pngWords(drawing));
}
