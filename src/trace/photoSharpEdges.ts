import { medianInPlace, rankInPlace } from '../geometry/median.ts';
import { dilated } from '../geometry/rasterMorphology.ts';
import { eachPart } from '../geometry/rasterParts.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import type { OffBackdrop } from './photoBackdrop.ts';

/** Cells to either side of one between which an edge rises: a sharp one has most of what it rises by farther out. */
const [NEAR, FAR] = [1, 3];
const SHARP = 0.6;
/** An edge stands out by so many deviations of what the backdrop's own cells differ by, and so many times above its texture. */
const STANDS = 6;
const ABOVE = 1.3;
/** Cells of the backdrop of which one is looked at for what its cells differ by. */
const EVERY = 11;
/** And of which one is looked at for what its codes are. */
const SOME = 7;
/** Weaker ones make no difference to either. */
const COUNTS = STANDS / ABOVE;
/** Texture is what all but this share of a tile's cells stay below, in this share of the tiles; so many of them along the longer side. */
const [FEW, MOST, TILES] = [0.01, 0.7, 10];
/** Nearer to a piece than this texture is not read, cells. */
const ASIDE = 5;
/** By so much neighbouring cells of even a plain backdrop may differ: logarithms (camera noise), and codes of colours (what JPEG leaves of them). */
const [LEAST, CODES] = [0.012, 1.5];
/** Fewer cells of an edge in one place are a speck. */
const SPECK = 5;

/** Sharp edges of a grid. */
export interface Rims {
  /** 1 at cells that one crosses. */
  readonly edges: Uint8Array;
  /** What the backdrop's cells differ by in each tone. */
  readonly unrest: readonly number[];
}

/** Sharp edges of a grid and, off the mask, how much its backdrop's cells differ. */
export function sharpEdges(off: OffBackdrop, grid: Pixels, mask: Uint8Array): Rims {
  const least = unrestLeast(grid, mask);
  const { width, height, tones } = off;
  const unrest = tones.map((tone, t) => Math.max(least[t], unrestOf(tone, mask, width)));
  const strength = strengthsOf(tones[0], tones[1], tones[2], width, height, unrest);
  const beside = dilated(mask, width, 2 * ASIDE + 1);
  const weakest = Math.max(STANDS, ABOVE * textureOf(strength, beside, width, height));
  return { edges: withoutSpecks(strongerThan(weakest, strength), mask, width), unrest };
}

/** 1 where a value is greater. */
function strongerThan(least: number, values: Float32Array): Uint8Array {
  const out = new Uint8Array(values.length);
  for (let i = 0; i < out.length; i++) if (values[i] > least) out[i] = 1;
  return out;
}

/** How strong the edges of the backdrop's own texture get: in most tiles of the picture all but a few of its cells have weaker ones. */
function textureOf(strength: Float32Array, beside: Uint8Array, width: number, height: number): number {
  const side = Math.ceil(Math.max(width, height) / TILES);
  const found = new Float64Array(side * side);
  const tiles: number[] = [];
  for (let top = 0; top < height; top += side) {
    for (let left = 0; left < width; left += side) {
      let [all, strong] = [0, 0];
      for (let v = top; v < Math.min(height, top + side); v++) {
        for (let i = v * width + left, end = v * width + Math.min(width, left + side); i < end; i++) {
          if (beside[i] === 1) continue;
          all++;
          if (strength[i] > 0) found[strong++] = strength[i];
        }
      }
      if (2 * all < side * side) continue;
      const weaker = Math.floor((1 - FEW) * all) - (all - strong);
      tiles.push(weaker < 0 ? 0 : rankInPlace(found.subarray(0, strong), weaker));
    }
  }
  return tiles.length === 0
    ? 0
    : rankInPlace(Float64Array.from(tiles), Math.floor(MOST * (tiles.length - 1)));
}

/** By how many deviations the tones rise at each cell, along the row or the column, whichever is more; 0 where too little to count. */
function strengthsOf(
  light: Float32Array,
  red: Float32Array,
  blue: Float32Array,
  width: number,
  height: number,
  unrest: readonly number[],
): Float32Array {
  const out = new Float32Array(width * height);
  const [perLight, perRed, perBlue] = unrest.map((one) => 1 / one);
  for (let v = FAR; v + FAR < height; v++) {
    const from = v * width + FAR;
    const to = (v + 1) * width - FAR;
    // Along the row, then along the column.
    addStrengths(light, red, blue, from, to, 1, perLight, perRed, perBlue, out);
    addStrengths(light, red, blue, from, to, width, perLight, perRed, perBlue, out);
  }
  return out;
}

/** Of the cells of a row, which are many: how strongly the tones rise along `step`, where that is more than is known. */
function addStrengths(
  light: Float32Array,
  red: Float32Array,
  blue: Float32Array,
  from: number,
  to: number,
  step: number,
  perLight: number,
  perRed: number,
  perBlue: number,
  out: Float32Array,
): void {
  const close = NEAR * step;
  const away = FAR * step;
  for (let i = from; i < to; i++) {
    const a = (light[i + close] - light[i - close]) * perLight;
    const b = (red[i + close] - red[i - close]) * perRed;
    const c = (blue[i + close] - blue[i - close]) * perBlue;
    const near = a * a + b * b + c * c;
    if (near < COUNTS * COUNTS) continue;
    // A soft edge rises on farther out.
    const A = (light[i + away] - light[i - away]) * perLight;
    const B = (red[i + away] - red[i - away]) * perRed;
    const C = (blue[i + away] - blue[i - away]) * perBlue;
    if (a * A + b * B + c * C <= SHARP * (A * A + B * B + C * C)) continue;
    const strength = Math.sqrt(near);
    if (strength > out[i]) out[i] = strength;
  }
}

/** Standard deviation of the differences between cells two apart, off the pieces. */
function unrestOf(tone: Float32Array, mask: Uint8Array, width: number): number {
  const sizes = new Float64Array(Math.ceil(tone.length / EVERY));
  let count = 0;
  for (let i = 2 * width; i + 2 * width < tone.length; i += EVERY) {
    if (mask[i - 1] + mask[i + 1] === 0) sizes[count++] = Math.abs(tone[i + 1] - tone[i - 1]);
  }
  return count > 0 ? 1.4826 * rankInPlace(sizes.subarray(0, count), count >> 1) : 0;
}

/** Edges without those that are a speck off the mask. */
function withoutSpecks(edges: Uint8Array, mask: Uint8Array, width: number): Uint8Array {
  const out = edges.slice();
  const astray = new Uint8Array(edges.length);
  for (let i = 0; i < edges.length; i++) astray[i] = edges[i] & (1 - mask[i]);
  eachPart(astray, width, 8, (part) => {
    if (part.length < SPECK) for (const cell of part) out[cell] = 0;
  });
  return out;
}

/** What a plain backdrop's cells may differ by in each tone: a code is worth more where it is dark. */
function unrestLeast({ rgba }: Pixels, mask: Uint8Array): readonly number[] {
  // An sRGB code is about the 2.2th root of light.
  const worth = [0, 1, 2].map((c) => (CODES * 2.2) / (1 + medianCode(rgba, c, mask)));
  return [
    LEAST,
    Math.max(LEAST, Math.hypot(worth[0], worth[1])),
    Math.max(LEAST, Math.hypot(worth[2], worth[1])),
  ];
}

/** Median (the upper of two) of a channel's codes at some of the cells off the mask; 255 of none. */
function medianCode(rgba: Uint8ClampedArray, channel: number, mask: Uint8Array): number {
  const codes = new Float64Array(Math.ceil(mask.length / SOME));
  let count = 0;
  for (let i = 0; i < mask.length; i += SOME) if (mask[i] === 0) codes[count++] = rgba[4 * i + channel];
  return count > 0 ? medianInPlace(codes, count) : 255;
}
