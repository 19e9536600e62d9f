import { transfer } from 'comlink';
import type { DotPage } from '../../../workers/plateMessages.ts';
import { startPress } from './press.ts';

/** Dots drawn at once: some 10 ms of the page's time. */
const BAND_DOTS = 1_000_000;

/**
 * A page of dots as PNG. Only a document can turn SVG into dots, so that the page draws it band by band, giving the screen its
 * turn between them; the worker packs the bands.
 */
export async function rasterise({ svg, width, height, words }: DotPage, dpi: number): Promise<Blob> {
  const press = startPress();
  const url = URL.createObjectURL(svg);
  try {
    const image = new Image();
    image.src = url;
    await image.decode();
    await press.openPng(width, height, dpi, words);
    const rows = Math.max(1, Math.floor(BAND_DOTS / width));
    for (let top = 0; top < height; top += rows) {
      const tall = Math.min(rows, height - top);
      const canvas = new OffscreenCanvas(width, tall);
      const context = canvas.getContext('2d', { alpha: false });
      if (context === null) throw new Error('This browser gives no canvas to draw on.');
      context.drawImage(image, 0, top, width, tall, 0, 0, width, tall);
      const band = canvas.transferToImageBitmap();
      await press.addBand(transfer(band, [band]));
    }
    return await press.closePng();
  } finally {
    URL.revokeObjectURL(url);
  }
}
