import type { HeightField } from '../src/geometry/heightField.ts';
import { shadeRelief } from '../src/geometry/shadeRelief.ts';
import type { Relief } from './messages.ts';

/** Light from the upper left, as drawings of stone tools are lit (convention of the trade), low enough to rake. */
const LIGHT = { azimuth: 135, elevation: 38, ambient: 0.36 };
/** Colours of stone from shadow to light, sRGB. */
const SHADOW = [58, 54, 48];
const LIT = [240, 233, 220];
/** Brightness that becomes full light: a flat face seen from above is just below it. */
const FULL = 0.94;

/** Draws one face as a PNG: transparent around the piece, tip up, seen from its own side. */
export async function drawRelief(field: HeightField, face: 'A' | 'B'): Promise<Relief> {
  const { columns, rows, cell } = field;
  const heights = face === 'A' ? field.top : seenFromBelow(field);
  const shade = shadeRelief(heights, columns, rows, cell, LIGHT);
  const pixels = new Uint8ClampedArray(4 * rows * columns);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const brightness = shade[row * columns + column];
      if (Number.isNaN(brightness)) continue;
      const t = Math.min(1, brightness / FULL);
      // Pictures run downward, the grid upward.
      const p = 4 * ((rows - 1 - row) * columns + column);
      for (let c = 0; c < 3; c++) pixels[p + c] = SHADOW[c] + (LIT[c] - SHADOW[c]) * t;
      pixels[p + 3] = 255;
    }
  }
  const canvas = new OffscreenCanvas(columns, rows);
  const context = canvas.getContext('2d');
  if (context === null) throw new Error('no 2D canvas in this worker');
  context.putImageData(new ImageData(pixels, columns, rows), 0, 0);
  const x = field.x0 - cell / 2;
  const width = columns * cell;
  return {
    image: await canvas.convertToBlob({ type: 'image/png' }),
    x: face === 'A' ? x : -(x + width),
    y: field.y0 - cell / 2,
    width,
    height: rows * cell,
  };
}

/** Face B as one sees it: turned about the length axis, so left and right change places and depth becomes height. */
function seenFromBelow({ bottom, columns, rows }: HeightField): Float32Array {
  const out = new Float32Array(bottom.length);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      out[row * columns + column] = -bottom[row * columns + columns - 1 - column];
    }
  }
  return out;
}
