import { beforeAll, describe, expect, it } from 'vitest';
import { maskInside } from '../../src/geometry/polygonMask.ts';
import type { Cv } from '../../src/intake/photoOpencv.ts';
import { piecesOfPhoto } from '../../src/trace/photoPieces.ts';
import { loadOpencv } from '../intake/support/opencv.ts';
import { asPhoto } from '../pieces/photo.ts';
import { createRandom } from '../pieces/random.ts';

let cv: Cv;
beforeAll(async () => {
  ({ cv } = await loadOpencv());
});

type Colour = readonly [number, number, number];

/** What is found of a polygon of one colour on a backdrop of another, noise of one code. */
function foundOf(polygon: readonly number[], stone: Colour, backdrop: Colour) {
  const [width, height] = [420, 320];
  const random = createRandom(2);
  const grid = { x0: 0, y0: 0, cell: 1, columns: width, rows: height };
  const inside = maskInside([Float64Array.from(polygon)], grid);
  const rgba = new Uint8ClampedArray(4 * width * height).fill(255);
  for (let v = 0, i = 0; v < height; v++) {
    for (let u = 0; u < width; u++, i += 4) {
      const colour = inside[i >> 2] === 1 ? stone : backdrop;
      for (let c = 0; c < 3; c++) rgba[i + c] = colour[c] + random.normal();
    }
  }
  return piecesOfPhoto(asPhoto({ width, height, rgba }), {}, cv);
}

/** A polygon of one grey with its soft shadow, shifted and spread over `wide` pixels, on white: code by pixel. */
function shadowedOn(polygon: readonly number[], wide: number): Uint8ClampedArray {
  const [width, height] = [840, 640];
  const random = createRandom(5);
  const inside = (shift: number): Uint8Array =>
    maskInside([Float64Array.from(polygon, (v) => v - shift)], {
      ...{ x0: 0, y0: 0, cell: 1, columns: width, rows: height },
    });
  const stone = inside(0);
  const shadow = new Float64Array(width * height);
  const steps = 24;
  for (let k = 0; k < steps; k++) {
    const one = inside(-wide * (k / steps));
    for (let i = 0; i < shadow.length; i++) shadow[i] += one[i] / steps;
  }
  const rgba = new Uint8ClampedArray(4 * width * height).fill(255);
  for (let i = 0; i < stone.length; i++) {
    const code = stone[i] === 1 ? 132 + 8 * Math.sin(i / 7) : 244 * (1 - 0.16 * shadow[i]);
    for (let c = 0; c < 3; c++) rgba[4 * i + c] = code + random.normal();
  }
  return rgba;
}

const [WHITE, GREY, BLACK]: readonly Colour[] = [
  [236, 236, 234],
  [90, 88, 84],
  [50, 48, 47],
];
/** A square that stands on a corner in the middle of 640 × 640 pixels. */
const diamond = (half: number): number[] => [
  320,
  320 - half,
  320 + half,
  320,
  320,
  320 + half,
  320 - half,
  320,
];

const POINT = [60, 160, 330, 90, 342, 160, 330, 230];

describe('piecesOfPhoto', () => {
  it.each([
    ['a point with a blunt base', 'piece', POINT],
    ['a point whose end is broken off', 'piece', [60, 140, 330, 90, 330, 230, 60, 180]],
    ['a rhomb', 'piece', [60, 160, 210, 110, 360, 160, 210, 210]],
    ['a label that lies askew', 'card', [60, 110, 340, 90, 347, 190, 67, 210]],
    ['a label over which the camera leans', 'card', [80, 100, 320, 112, 320, 196, 80, 208]],
  ] as const)('%s is a %s', (_, kind, polygon) => {
    const found = foundOf(polygon, GREY, WHITE);
    expect(found.map((piece) => piece.kind)).toEqual([kind]);
  });

  it('sees the whole rim of dark stone on red cloth, and refuses to on black', () => {
    const [red] = foundOf(POINT, BLACK, [132, 36, 42]);
    expect(red.found).toBeGreaterThan(0.98);
    for (const { found } of foundOf(POINT, [30, 29, 28], [18, 18, 20])) expect(found).toBeLessThan(0.1);
  });

  it('leaves the hard shadow in the notch of a white stone on black card out, with nothing to tell', () => {
    const [width, height] = [840, 640];
    const random = createRandom(3);
    const grid = { x0: 0, y0: 0, cell: 1, columns: width, rows: height };
    // A tang between two barbs; its shadow falls into the notch to its right.
    const point = [420, 90, 560, 420, 470, 370, 470, 500, 370, 500, 370, 370, 280, 420];
    const [stone, shadow] = [0, 30].map((by) => maskInside([Float64Array.from(point, (v) => v + by)], grid));
    const rgba = new Uint8ClampedArray(4 * width * height).fill(255);
    for (let i = 0; i < stone.length; i++) {
      const code = stone[i] === 1 ? 205 + 12 * Math.sin(i / 11) : shadow[i] === 1 ? 15 : 32;
      for (let c = 0; c < 3; c++) rgba[4 * i + c] = code - c + 0.8 * random.normal();
    }
    const [piece] = piecesOfPhoto(asPhoto({ width, height, rgba }), {}, cv);
    // By the shoelace formula.
    expect(Math.abs(piece.area / 49_700 - 1)).toBeLessThan(0.003);
    expect(piece.hemmed).toBe(0);
  });

  it('finds a piece on a mat whose clear field lies askew in the picture, markers and table round it', () => {
    const [width, height] = [640, 640];
    const random = createRandom(7);
    const grid = { x0: 0, y0: 0, cell: 1, columns: width, rows: height };
    // The paper, its field and the piece, turned by 45° about the middle.
    const askew = (half: number): Float64Array => Float64Array.of(...diamond(half));
    const [paper, stone] = [askew(210), Float64Array.of(270, 325, 325, 265, 375, 325, 325, 350)];
    const [onPaper, onStone] = [paper, stone].map((ring) => maskInside([ring], grid));
    const rgba = new Uint8ClampedArray(4 * width * height).fill(255);
    for (let i = 0; i < onPaper.length; i++) {
      const colour = onStone[i] === 1 ? GREY : onPaper[i] === 1 ? WHITE : [120, 90, 60];
      for (let c = 0; c < 3; c++) rgba[4 * i + c] = colour[c] + random.normal();
    }
    const [piece] = piecesOfPhoto(asPhoto({ width, height, rgba }), { field: askew(150) }, cv);
    expect(piece?.kind).toBe('piece');
    expect(Math.abs(piece.area / 4_462.5 - 1)).toBeLessThan(0.01);
    expect(piece.found).toBeGreaterThan(0.98);
  });

  it('sees on the field of a mat as finely as if that were the whole picture: a narrow point is no line', () => {
    const [width, height] = [1600, 1200];
    const random = createRandom(8);
    const grid = { x0: 0, y0: 0, cell: 1, columns: width, rows: height };
    const field = Float64Array.of(1000, 200, 1360, 200, 1360, 620, 1000, 620);
    const point = Float64Array.of(1160, 540, 1180, 290, 1200, 540);
    const [onField, onStone] = [field, point].map((ring) => maskInside([ring], grid));
    const rgba = new Uint8ClampedArray(4 * width * height).fill(255);
    for (let i = 0; i < onField.length; i++) {
      const colour = onStone[i] === 1 ? GREY : onField[i] === 1 ? WHITE : [120, 90, 60];
      for (let c = 0; c < 3; c++) rgba[4 * i + c] = colour[c] + random.normal();
    }
    const [piece] = piecesOfPhoto(asPhoto({ width, height, rgba }), { field }, cv);
    expect(piece.lined).toBeUndefined();
    expect(Math.abs(piece.area / 5_000 - 1)).toBeLessThan(0.01);
    // With the print of the mat told to begin above its base it is not whole.
    const beyond = Float64Array.of(980, 180, 1380, 180, 1380, 530, 980, 530);
    expect(piecesOfPhoto(asPhoto({ width, height, rgba }), { field, bare: beyond }, cv)[0].kind).toBe('cut');
    expect(
      piecesOfPhoto(
        asPhoto({ width, height, rgba }),
        { field, bare: beyond.map((v, i) => (i % 2 === 1 && v > 500 ? 640 : v)) },
        cv,
      )[0].kind,
    ).toBe('piece');
    const ys = piece.ring.filter((_, i) => i % 2 === 1);
    // Where it is 2 pixels wide.
    expect(Math.min(...ys)).toBeLessThan(303);
    expect(Math.max(...ys)).toBeCloseTo(539.5, 0);
  });

  it.each([
    ['by itself', false],
    ['beside a bar far larger than it', true],
  ])(
    'sees a narrow thing in a large picture whole, %s, which on a grid of all of it is as thin as a line',
    (_, barred) => {
      const [width, height] = [1800, 1400];
      const random = createRandom(9);
      const grid = { x0: 0, y0: 0, cell: 1, columns: width, rows: height };
      const inside = maskInside([Float64Array.of(700, 700, 820, 688, 940, 697, 940, 703, 820, 712)], grid);
      const rgba = new Uint8ClampedArray(4 * width * height).fill(255);
      // Crumbs of the stone lie in two corners.
      for (const [u, v] of [
        [30, 30],
        [1760, 1370],
      ]) {
        for (let k = 0; k < 100; k++) inside[(v + Math.floor(k / 10)) * width + u + (k % 10)] = 1;
      }
      // The bar's card with its frame.
      if (barred) for (let v = 500; v < 900; v++) inside.fill(1, v * width + 1100, v * width + 1180);
      for (let i = 0; i < inside.length; i++) {
        for (let c = 0; c < 3; c++) rgba[4 * i + c] = (inside[i] === 1 ? GREY : WHITE)[c] + random.normal();
      }
      const [piece] = piecesOfPhoto(
        asPhoto({ width, height, rgba }),
        barred ? { bar: Float64Array.of(1140, 510, 1140, 890) } : {},
        cv,
      );
      expect(piece.kind).toBe('piece');
      expect(piece.lined).toBeUndefined();
      const xs = piece.ring.filter((_, i) => i % 2 === 0);
      expect(Math.min(...xs)).toBeLessThan(712);
      expect(Math.max(...xs)).toBeCloseTo(939.5, 0);
    },
  );

  it('leaves out the soft shadow of grey stone on white, of which no cell is stone for sure', () => {
    const polygon = [180, 320, 640, 190, 670, 320, 640, 450];
    const rgba = shadowedOn(polygon, 40);
    const [piece] = piecesOfPhoto(asPhoto({ width: 840, height: 640, rgba }), {}, cv);
    expect(piece.kind).toBe('piece');
    expect(Math.abs(piece.area / 63_700 - 1)).toBeLessThan(0.01);
    expect(piece.soft).toBeLessThan(0.02);
  });
});
