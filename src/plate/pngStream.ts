import { Zlib } from 'fflate';
import { pngData, pngHead, pngTail } from './png.ts';

export interface PngStream {
  /** Rows of red, green, blue, opacity from the top down; opacity is let go. */
  add(rgba: Uint8ClampedArray | Uint8Array): void;
  /** All parts of the file, once every row has been added. */
  finish(): Uint8Array<ArrayBuffer>[];
}

const CHANNELS = 3;

/** A PNG of colours, 8 bits each, written row by row, with its resolution (pHYs) and words about it (iTXt). */
export function pngStream(
  width: number,
  height: number,
  dpi: number,
  words: Readonly<Record<string, string>>,
): PngStream {
  const parts: Uint8Array<ArrayBuffer>[] = [pngHead(width, height, dpi)];
  const row = 1 + CHANNELS * width;
  let added = 0;
  const zlib = new Zlib({ level: 6 }, (packed) => parts.push(pngData(packed)));
  return {
    add(rgba) {
      const rows = rgba.length / (4 * width);
      const raw = new Uint8Array(rows * row);
      for (let y = 0; y < rows; y++) {
        // Each byte less the one to its left.
        let at = y * row;
        raw[at++] = 1;
        let [r, g, b] = [0, 0, 0];
        for (let k = 4 * width * y; k < 4 * width * (y + 1); k += 4) {
          raw[at++] = rgba[k] - r;
          raw[at++] = rgba[k + 1] - g;
          raw[at++] = rgba[k + 2] - b;
          r = rgba[k];
          g = rgba[k + 1];
          b = rgba[k + 2];
        }
      }
      added += rows;
      zlib.push(raw, false);
    },
    finish() {
      if (added !== height) throw new Error(`${added} of ${height} rows were written`);
      zlib.push(new Uint8Array(), true);
      return [...parts, pngTail(words)];
    },
  };
}
