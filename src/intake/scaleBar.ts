import type { Warning } from '../geometry/types.ts';
import type { Cv } from './photoOpencv.ts';
import { reduce } from './photoRead.ts';
import type { Photo, PhotoScale, Pixels, ReducedPixels, ScaleSettings } from './photoTypes.ts';
import { type BarChain, barChains } from './scaleBarChain.ts';
import { isByTurns, measureBar } from './scaleBarEdges.ts';
import type { MeasuredBar } from './scaleBarFit.ts';
import { type Light, lightOf } from './scaleLight.ts';
import { evenScale, parallaxWarnings, UNTOLD } from './scalePlain.ts';
import { findQuads, type QuadLimits } from './scaleQuads.ts';
import { IntakeError } from './types.ts';

/** Shortest side of a block that is looked for, pixels of the picture that is searched. */
const SHORTEST_SIDE = 6;
/** Blocks shorter than this, in pixels, might be print of another kind. */
const PLAIN = 15;
/** So many blocks of one colour in an even row are no other print. */
const SURE = 3;
/** How blocks are freed from what hangs on to them, one after the other: ticks and lines of a ruler, and the texture of cloth. */
const FREED: readonly QuadLimits[] = [
  { thinnest: 5 },
  { thinnest: 11 },
  { darker: 40 },
  { thinnest: 5, darker: 40 },
];
/** Pixels of the finer picture that is searched when the reduced one shows no bar. */
const FINER_PIXELS = 10_000_000;
/** Bars whose pixels in a block differ by more than this share contradict each other. */
const ALIKE = 0.02;
/** A bar whose blocks grow by more than this from end to end lies in a picture that was not taken square. */
const LEANING = 0.01;
/** Lengths of blocks that bars are made with, mm: what the whole length of a bar must come out at. */
const BLOCKS = [1, 2, 5, 10, 12.7, 20, 25, 25.4, 50, 100];
/** Shares of a block: where its edge is past, and what is wider than the line of a frame; and how uneven light, or the
 * rims of a card, may be. */
const [CLEAR, COVERED, UNEVEN] = [0.1, 0.12, 0.25];
/** Blocks beyond those that are surely there that may not be seen: at either end one of the colour of the card or the cloth. */
const UNSEEN = 2;
/** Blocks whose width across is more times their length along are print of another kind: a barcode's, a ruler's ticks. */
const MOST_ACROSS = 3;
/** So many rows of blocks side by side, each so many blocks off the next at least, are the pattern of a cloth or a board. */
const [ROWS, ROW_APART, LIKE] = [3, 0.3, 0.05];
/** A bar that contradicts the one of most blocks counts when it has no fewer blocks but one, or is this share as long. */
const AS_LONG = 0.5;

/**
 * The scale by a bar of blocks, black and white in turn, of known length; found at any turn. Undefined where none is
 * seen. Throws an IntakeError when the settings tell no length, or when two bars contradict each other.
 */
export function findBar(photo: Photo, settings: ScaleSettings, cv: Cv): PhotoScale | undefined {
  if (settings.block === undefined && settings.length === undefined) {
    throw new IntakeError(
      'scale-settings',
      'The length of one block of the scale bar, or of all of it, must be given.',
    );
  }
  const plain = allBars(photo, cv);
  const bars = plain.length > 0 ? plain : freedBars(photo, cv);
  if (bars.length === 0) return undefined;
  const best = fitting(bars, settings)[0] ?? bars[0];
  const lengthOf = ({ block, blocks }: MeasuredBar): number => block * blocks;
  const rival = fitting(bars, settings).find(
    (bar) =>
      Math.abs(bar.block / best.block - 1) > ALIKE &&
      (bar.blocks >= best.blocks - 1 || lengthOf(bar) >= AS_LONG * lengthOf(best)) &&
      // A row of longer blocks beside one of shorter ones of the same bar tells the same, where the whole length is told.
      !tellTheSame(bar, best, settings),
  );
  if (rival !== undefined) {
    throw new IntakeError(
      'scale-ambiguous',
      'The picture shows more than one scale bar, and they do not agree: give two points and the length between them.',
    );
  }
  return scaleByBar(photo, settings, best, isBroken(best, bars));
}

/** Those bars that can be of the length that is told. */
function fitting(bars: readonly MeasuredBar[], { block, length }: ScaleSettings): readonly MeasuredBar[] {
  if (block !== undefined || length === undefined) return bars;
  return bars.filter(({ certain }) => blocksOf(length, certain).length > 0);
}

/** Whether two bars, each of the whole length that is told, come out at one scale. */
function tellTheSame(a: MeasuredBar, b: MeasuredBar, { block, length }: ScaleSettings): boolean {
  if (block !== undefined || length === undefined) return false;
  const [ofA, ofB] = [a, b].map(({ certain }) => blocksOf(length, certain));
  if (ofA.length !== 1 || ofB.length !== 1) return false;
  return Math.abs(a.block / ofA[0] / (b.block / ofB[0]) - 1) < ALIKE;
}

/** A bar that is plain to see, whatever its blocks measure: at least three blocks of PLAIN pixels. */
export function plainBar(photo: Photo, cv: Cv): MeasuredBar | undefined {
  return allBars(photo, cv).find(isPlain);
}

/**
 * Length of the blocks of a bar that is plain to see in a small picture, pixels, to about a hundredth; ticks and numerals may hang on to
 * them. So many alike in an even row, dark and light by turns, are a bar without their edges being measured, which takes longest.
 */
export function printedBlock(picture: Pixels, cv: Cv): number | undefined {
  const light = lightOf(picture);
  const small = { ...picture, factor: 1 };
  for (const limits of [undefined, FREED[0]]) {
    const chains = chainsIn(small, cv, limits);
    const rows = chains.map(rowOf);
    for (const [k, chain] of chains.entries()) {
      if (chain.block < PLAIN || rowsBeside(rows[k], rows) >= ROWS) continue;
      if (chain.middles.length / 2 >= SURE && isByTurns(light, chain)) return chain.block;
      const bar = measureBar(light, chain);
      if (bar !== undefined && isPlain(bar)) return bar.block;
    }
  }
  return undefined;
}

function isPlain({ block, blocks }: MeasuredBar): boolean {
  return blocks >= 3 && block >= PLAIN;
}

/** Whether blocks of so many mm are made, to 2 %. */
export function isMade(block: number): boolean {
  return BLOCKS.some((made) => Math.abs(block / made - 1) < ALIKE);
}

/** Bars in the picture, sought in the reduced one, then in a finer one; that of most blocks first. */
function allBars(photo: Photo, cv: Cv): MeasuredBar[] {
  const light = lightOf(photo);
  const bars = barsIn(light, photo.reduced, cv);
  const finer = Math.ceil(Math.sqrt((photo.width * photo.height) / FINER_PIXELS));
  return bars.length > 0 || finer >= photo.reduced.factor ? bars : barsIn(light, reduce(photo, finer), cv);
}

/** Bars whose blocks other dark things hang on to. */
function freedBars(photo: Photo, cv: Cv): MeasuredBar[] {
  const light = lightOf(photo);
  for (const limits of FREED) {
    const bars = barsIn(light, photo.reduced, cv, limits);
    if (bars.length > 0) return bars;
  }
  return [];
}

function barsIn(light: Light, small: ReducedPixels, cv: Cv, limits?: QuadLimits): MeasuredBar[] {
  return chainsIn(small, cv, limits)
    .map((chain) => measureBar(light, chain))
    .filter((bar) => bar !== undefined)
    .filter((bar, _, all) => rowsBeside(bar, all) < ROWS)
    .sort((a, b) => b.blocks - a.blocks || a.rms - b.rms);
}

function chainsIn(small: ReducedPixels, cv: Cv, limits?: QuadLimits): BarChain[] {
  return barChains(findQuads(small, cv, SHORTEST_SIDE, limits)).filter(
    ({ block, across }) => across <= MOST_ACROSS * block,
  );
}

/** A row of blocks: a place on its line near either end (x y pairs), and how long a block is. */
type Row = Pick<MeasuredBar, 'ends' | 'block'>;

function rowOf({ middles, block }: BarChain): Row {
  const last = middles.length - 2;
  return { ends: Float64Array.of(middles[0], middles[1], middles[last], middles[last + 1]), block };
}

/** How many rows of like blocks lie side by side along one, itself among them. */
function rowsBeside({ ends, block }: Row, all: readonly Row[]): number {
  const [dx, dy] = directionOf(ends);
  const offs = all
    .filter((other) => {
      const [ox, oy] = directionOf(other.ends);
      return Math.abs(other.block / block - 1) < LIKE && Math.abs(dx * oy - dy * ox) < LIKE;
    })
    .map(({ ends: [x, y] }) => (x - ends[0]) * dy - (y - ends[1]) * dx)
    .sort((a, b) => a - b);
  return 1 + offs.filter((off, i) => i > 0 && off - offs[i - 1] > ROW_APART * block).length;
}

function directionOf([x0, y0, x1, y1]: Row['ends']): readonly [number, number] {
  const length = Math.hypot(x1 - x0, y1 - y0);
  return [(x1 - x0) / length, (y1 - y0) / length];
}

/** Whether another row of like blocks goes on in line with a bar: something covers what is between. */
function isBroken({ ends, block, blocks }: MeasuredBar, all: readonly MeasuredBar[]): boolean {
  const [dx, dy] = directionOf(ends);
  return all.some((other) => {
    const [x, y] = [0, 1].map((c) => (other.ends[c] + other.ends[c + 2] - ends[c] - ends[c + 2]) / 2);
    const [ox, oy] = directionOf(other.ends);
    return (
      Math.abs(other.block / block - 1) < ALIKE &&
      Math.abs(dx * oy - dy * ox) < LIKE &&
      Math.abs(x * dy - y * dx) < ROW_APART * block &&
      Math.abs(x * dx + y * dy) > (block * (blocks + other.blocks)) / 2
    );
  });
}

function scaleByBar(photo: Photo, settings: ScaleSettings, bar: MeasuredBar, broken: boolean): PhotoScale {
  if (settings.block !== undefined && bar.otherRow) {
    throw new IntakeError(
      'scale-ambiguous',
      'The scale bar has rows of blocks of unlike length: give the length of the whole bar, or two points and the length between them.',
    );
  }
  const block =
    settings.block ?? blockOf(settings.length!, bar, broken || bar.short || mayRunOut(bar, photo));
  if (!(block > 0) || !Number.isFinite(block)) {
    throw new IntakeError(
      'scale-settings',
      'The length of a block of the scale bar must be a number above 0.',
    );
  }
  const pxPerMm = bar.block / block;
  return evenScale(photo, {
    method: 'bar',
    pxPerMm,
    components: {
      edges: bar.relative,
      made: UNTOLD.made,
      // Half of the growth from end to end is about what a piece beside the bar may be off by.
      lean: Math.max(UNTOLD.lean, Math.abs(bar.growth) / 2),
    },
    evidence: {
      kind: 'bar',
      ends: bar.ends,
      length: bar.blocks * block,
      block,
      blocks: bar.blocks,
      rms: bar.rms,
    },
    warnings: [...leanWarnings(bar), ...parallaxWarnings(photo, pxPerMm, settings.cameraDistance)],
  });
}

/**
 * The length of a block when only that of the whole bar is told: blocks that are not seen at the ends are made good
 * when just one number of them gives a length that bars are made with. Throws where it may be seen in part only.
 */
function blockOf(length: number, { certain }: MeasuredBar, partly: boolean): number {
  const fits = blocksOf(length, certain);
  if (fits.length !== 1) {
    throw new IntakeError(
      'scale-ambiguous',
      `A bar of ${certain} blocks was found, which does not tell what one of them measures in a bar of ${length} mm: give the length of one block.`,
    );
  }
  if (partly) {
    throw new IntakeError(
      'scale-ambiguous',
      `The bar of which ${certain} blocks were found may run out of the picture or be covered in part, so that ${length} mm may not be the length of what is seen: give the length of one block.`,
    );
  }
  return fits[0];
}

/** Lengths that bars are made with that a block may have in a bar so long of which so many blocks are surely there. */
function blocksOf(length: number, certain: number): number[] {
  return Array.from({ length: UNSEEN + 1 }, (_, unseen) => length / (certain + unseen)).filter((block) =>
    BLOCKS.some((made) => Math.abs(block / made - 1) < 1e-6),
  );
}

/**
 * Whether a bar may go on where it is not seen: where less than a block from its end to the frame of the picture all looks as its
 * next block would, or a dark stretch where its next black block would be is shorter than one, as where something covers it. Alike
 * ones at both ends are the rims of a dark card.
 */
function mayRunOut(bar: MeasuredBar, photo: Photo): boolean {
  const [x0, y0, x1, y1] = bar.outer;
  const [dx, dy] = directionOf(bar.outer);
  const runs = [shortRun(bar, photo, x1, y1, dx, dy), shortRun(bar, photo, x0, y0, -dx, -dy)];
  if (runs.includes(Infinity)) return true;
  return Math.abs(runs[0] - runs[1]) > UNEVEN * Math.max(runs[0], runs[1]);
}

/**
 * How long the dark stretch is beyond an end of a bar at (x, y), in the direction (dx, dy), where its next black block would be,
 * when it is shorter than that, pixels; 0 when there is none, Infinity when the frame of the picture cuts it or what looks like the next block.
 */
function shortRun(
  { block, white, ink }: MeasuredBar,
  { width, height, rgba }: Photo,
  x: number,
  y: number,
  dx: number,
  dy: number,
): number {
  const light = lightOf({ width, height, rgba });
  const isInk = (value: number): boolean => value < 2 * ink + 0.01 * white;
  const isPaper = (value: number): boolean => value > (1 - UNEVEN) * white;
  const endsBlack = light(x - 0.5 * block * dx, y - 0.5 * block * dy) < (ink + white) / 2;
  // What follows the end is looked at from a tenth of a block on, for the edge is blurred.
  const beyond: number[] = [];
  let framed = false;
  for (let t = CLEAR * block; t < 2 * block && !framed; t++) {
    const [px, py] = [x + t * dx, y + t * dy];
    framed = px < 1 || py < 1 || px > width - 2 || py > height - 2;
    if (!framed) beyond.push(light(px, py));
  }
  if (framed && beyond.length < (1 - CLEAR) * block && beyond.every(endsBlack ? isPaper : isInk))
    return Infinity;
  const start = beyond.findIndex(isInk);
  // After a black end a white block comes first, which the card may run into.
  const due = endsBlack ? (1 - CLEAR) * block : 0;
  if (start < 0 || Math.abs(start - due) > CLEAR * block) return 0;
  const length = beyond.slice(start).findIndex((value) => !isInk(value));
  if (length < 0) return framed && beyond.length - start < (1 - CLEAR) * block ? Infinity : 0;
  return length > COVERED * block && length < (1 - 2 * CLEAR) * block ? length : 0;
}

function leanWarnings({ growth }: MeasuredBar): Warning[] {
  if (Math.abs(growth) <= LEANING) return [];
  return [
    {
      code: 'bar-leaning',
      text: `The bar’s blocks grow by ${(100 * Math.abs(growth)).toFixed(1)} % from end to end: the picture was not taken square, and a mat would correct that.`,
    },
  ];
}
