import type { Warning } from '../geometry/types.ts';
import type { Cv } from './photoOpencv.ts';
import { reduce } from './photoRead.ts';
import type { Photo, PhotoScale, ReducedPixels, ScaleSettings } from './photoTypes.ts';
import { barChains } from './scaleBarChain.ts';
import { measureBar } from './scaleBarEdges.ts';
import type { MeasuredBar } from './scaleBarFit.ts';
import { type Light, lightOf } from './scaleLight.ts';
import { evenScale, parallaxWarnings, UNTOLD } from './scalePlain.ts';
import { findQuads, type QuadLimits } from './scaleQuads.ts';
import { IntakeError } from './types.ts';

/** Shortest side of a block that is looked for, pixels of the picture that is searched. */
const SHORTEST_SIDE = 6;
/** Blocks shorter than this, in pixels, might be print of another kind. */
const PLAIN = 15;
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
/** Blocks at the ends of a bar that may not be seen: white on a white card, or framed. */
const UNSEEN = 3;

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
  const best = bars[0];
  const rival = bars.find(
    (bar) => Math.abs(bar.block / best.block - 1) > ALIKE && bar.blocks >= best.blocks - 1,
  );
  if (rival !== undefined) {
    throw new IntakeError(
      'scale-ambiguous',
      'The picture shows more than one scale bar, and they do not agree: give two points and the length between them.',
    );
  }
  return scaleByBar(photo, settings, best);
}

/** A bar that is plain to see, whatever its blocks measure: at least three blocks of PLAIN pixels. */
export function plainBar(photo: Photo, cv: Cv): MeasuredBar | undefined {
  return allBars(photo, cv).find(({ block, blocks }) => blocks >= 3 && block >= PLAIN);
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
  return barChains(findQuads(small, cv, SHORTEST_SIDE, limits))
    .map((chain) => measureBar(light, chain))
    .filter((bar) => bar !== undefined)
    .sort((a, b) => b.blocks - a.blocks || a.rms - b.rms);
}

function scaleByBar(photo: Photo, settings: ScaleSettings, bar: MeasuredBar): PhotoScale {
  const block = settings.block ?? blockOf(settings.length!, bar.blocks);
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
 * when just one number of them gives a length that bars are made with.
 */
function blockOf(length: number, blocks: number): number {
  const fits = Array.from({ length: UNSEEN + 1 }, (_, unseen) => length / (blocks + unseen)).filter((block) =>
    BLOCKS.some((made) => Math.abs(block / made - 1) < 1e-6),
  );
  if (fits.length !== 1) {
    throw new IntakeError(
      'scale-ambiguous',
      `A bar of ${blocks} blocks was found, which does not tell what one of them measures in a bar of ${length} mm: give the length of one block.`,
    );
  }
  return fits[0];
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
