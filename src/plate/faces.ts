import { type CreaseSettings, creaseLines } from '../geometry/creaseLines.ts';
import { smoothField } from '../geometry/fieldSmooth.ts';
import { heightField } from '../geometry/heightField.ts';
import { shadeRelief } from '../geometry/shadeRelief.ts';
import type { Points2, TriangleMesh } from '../geometry/types.ts';
import type { Pair } from '../record/schema.ts';
import { encodeGreyPng } from './png.ts';

/** Light from the upper left on both faces, as drawings of stone tools are lit (practice), low enough to rake. */
const LIGHT = { azimuth: 135, elevation: 40, ambient: 0.3 };
/** Grey of shadow and of light, 0 black … 255 white; printed stone must leave the line of the margin the darkest. */
const [SHADOW, LIT] = [70, 252];
/** Cells along the length at most: 300 an inch on paper up to 300 mm. */
const MOST_ROWS = 3500;
/** Scanner's noise is smoothed away at this width before light falls on it, mm. */
const SMOOTH = 0.12;

/** A shaded face as seen from its own side, tip up: its left edge and top in mm from the frame's origin, x to the right. */
export interface FacePicture {
  readonly png: Uint8Array;
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  /** Rings in the specimen frame, mm, where they are not those of the record: of Face B in a photograph of its own. */
  readonly outline?: readonly (readonly Pair[])[];
}

/** Lines along the arrises of a face as seen from its own side: x to the right, y up, mm from the frame's origin. */
export type Arrises = readonly Points2[];

export interface FacePictures {
  readonly a?: FacePicture;
  readonly b?: FacePicture;
  readonly arrisesA?: Arrises;
  readonly arrisesB?: Arrises;
}

/** Grid on which arrises are sought, mm, and along the length at most; what counts as one. */
const ARRIS_CELL = 0.15;
const ARRIS_ROWS = 1500;
const ARRIS: CreaseSettings = { sigma: 2.2, strong: 0.3, weak: 0.13, rim: 5, shortest: 20 };

/** Arrises of both faces of a scan, for drawing by line. `mesh` in the specimen frame, `length` along y, mm. */
export function arrisesOf(mesh: TriangleMesh, length: number): FacePictures {
  const size = Math.max(ARRIS_CELL, length / ARRIS_ROWS);
  const { columns, x0, y0, top, bottom } = heightField(mesh, size);
  const seen = (heights: Float32Array, from: number): Points2[] =>
    creaseLines(heights, columns, size, ARRIS).map((line) =>
      line.map((value, i) => ((i & 1) === 0 ? from : y0) + value * size),
    );
  return {
    arrisesA: seen(top, x0),
    arrisesB: seen(turnedOver(bottom, columns), -(x0 + (columns - 1) * size)),
  };
}

/** Both faces of a scan shaded, `cell` mm of the piece a pixel (or coarser, for very long pieces). */
export function shadeFaces(mesh: TriangleMesh, length: number, cell: number): FacePictures {
  const size = Math.max(cell, length / MOST_ROWS);
  const field = heightField(mesh, size);
  const { columns, rows, x0, y0 } = field;
  const seen = (heights: Float32Array, behind: boolean): FacePicture => {
    const turned = behind ? turnedOver(heights, columns) : heights;
    const smooth = smoothField(turned, columns, SMOOTH / size);
    const png = paint(shadeRelief(smooth, columns, rows, size, LIGHT), columns, rows);
    const x = x0 - size / 2;
    const width = columns * size;
    const left = behind ? -(x + width) : x;
    return { png, left, top: y0 - size / 2 + rows * size, width, height: rows * size };
  };
  return { a: seen(field.top, false), b: seen(field.bottom, true) };
}

/** Face B turned about the length axis: left and right change places, depth becomes height. */
function turnedOver(heights: Float32Array, columns: number): Float32Array {
  return heights.map((_, i) => {
    const column = i % columns;
    return -heights[i - column + columns - 1 - column];
  });
}

function paint(shade: Float32Array, columns: number, rows: number): Uint8Array {
  const pixels = new Uint8Array(2 * columns * rows);
  // Flat stone facing the viewer is light; what turns away from the lamp darkens from there.
  const flat = (1 - LIGHT.ambient) * Math.sin((LIGHT.elevation * Math.PI) / 180) + LIGHT.ambient;
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const brightness = shade[row * columns + column];
      if (Number.isNaN(brightness)) continue;
      const t = Math.min(1, Math.max(0, 0.8 + 1.35 * (brightness - flat)));
      const p = 2 * ((rows - 1 - row) * columns + column);
      pixels[p] = SHADOW + (LIT - SHADOW) * t;
      pixels[p + 1] = 255;
    }
  }
  return encodeGreyPng(pixels, columns, rows);
}
