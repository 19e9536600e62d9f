import { thinnedAtOnce } from '../geometry/partLimits.ts';
import { readPlyHeader } from './plyHeader.ts';
import { sniff } from './sniff.ts';
import { IntakeError } from './types.ts';

/** First bytes of a file that are enough to foretell what it needs. */
export const FORETOLD_FROM = 4096;

/** About how many triangles a scan has, and the memory at the peak of measuring it, bytes. */
export interface ScanNeeds {
  readonly triangles: number;
  readonly whole: number;
  /** The same where it is thinned to so many triangles. */
  readonly thinned: (limit: number) => number;
}

/** Bytes of the program before it reads anything. */
const PROGRAM = 100e6;
/** Bytes for each triangle that is measured, and for each that is read to be thinned (`npm run memory` holds them to it). */
const MEASURED = 120;
const READ = 36;
/** Triangles that share no vertices (as in STL) take more until they are joined. */
const READ_LOOSE = 130;
/** Bytes for each triangle that thinning works on at once. */
const THINNED = 300;

/** Bytes of a file for each triangle, where its head does not count them; from below, so that none is left out. */
const BYTES: Readonly<Record<string, number>> = { ply: 18, 'stl-ascii': 180, obj: 40, gltf: 20, glb: 16 };

/** Told from the first bytes of a file and its length; undefined for what is no scan. Never throws. */
export function scanNeeds(head: Uint8Array, size: number): ScanNeeds | undefined {
  if (isStlOfSize(head, size)) return needs((size - 84) / 50, size, READ_LOOSE);
  const sniffed = sniff(head);
  if ('foreign' in sniffed) return undefined;
  const { format, offset } = sniffed;
  const told = format === 'ply' ? facesTold(head, offset) : undefined;
  const guessed = size / (BYTES[format] ?? 50);
  // What a head tells may be a lie; a triangle takes four bytes at the very least.
  const triangles = told === undefined ? guessed : Math.min(told, size / 4);
  return needs(triangles, size, format.startsWith('stl') ? READ_LOOSE : READ);
}

function needs(triangles: number, size: number, read: number): ScanNeeds {
  const whole = PROGRAM + size + Math.max(MEASURED, read) * triangles;
  return {
    triangles: Math.round(triangles),
    whole,
    thinned(limit) {
      if (limit >= triangles) return whole;
      const work = THINNED * Math.min(triangles, thinnedAtOnce(limit));
      return PROGRAM + size + read * triangles + Math.max(work, MEASURED * limit);
    },
  };
}

/**
 * Bytes for a thread that measures photographs, and for each pixel of the largest: one of up to 24 megapixels took 0.54 GB with the
 * program, two 0.96 GB, and one of 145 megapixels 1.25 GB.
 */
const PHOTOGRAPHS = 300e6;
const PIXEL = 8;

/** Memory at the peak of measuring photographs of up to so many pixels one after the other, in one thread, bytes. */
export function photoNeeds(pixels: number): number {
  return PHOTOGRAPHS + PIXEL * pixels;
}

function isStlOfSize(head: Uint8Array, size: number): boolean {
  if (head.length < 84) return false;
  const view = new DataView(head.buffer, head.byteOffset, head.byteLength);
  return size === 84 + 50 * view.getUint32(80, true);
}

/** The number of faces by the header of a PLY file; undefined where it tells none that can be used. */
function facesTold(head: Uint8Array, offset: number): number | undefined {
  try {
    return readPlyHeader(head, offset).elements.find(({ name }) => name === 'face')?.count;
  } catch (error) {
    if (error instanceof IntakeError) return undefined;
    throw error;
  }
}

/** Numbers of triangles to which one would thin, the most first: beyond two million nothing is gained in hand-sized stones. */
const STEPS = [2_000_000, 1_000_000, 500_000, 200_000];

/** To how many triangles a scan is best thinned where so much memory is to be had; undefined where none would do. */
export function bestThinning({ triangles, thinned }: ScanNeeds, memory: number): number | undefined {
  return STEPS.find((limit) => limit < triangles && thinned(limit) <= memory);
}
