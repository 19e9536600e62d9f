import type { ScanQuality } from '../trace/types.ts';
import { pointError } from './outlineError.ts';

/** Radius of curvature of worked faces, mm: about an eighth of the length. */
export function faceRadius(length: number): number {
  return length / 8;
}

/** Mean depth of flat triangles of edge e within a surface of radius R, e²/12R, in mm. */
export function faceSag(edge: number, length: number): number {
  return edge ** 2 / (12 * faceRadius(length));
}

/**
 * What triangles cut off a face is known to this share of it, as a standard uncertainty: they lie anyhow to arrises, and faces
 * bend otherwise beside a margin. Of a whole face, and of one section through it.
 */
export const SAG_DOUBT = { face: 0.2, section: 0.35 } as const;

/**
 * Volumes and sections are those of the triangles, which lie within the stone: too small by what they cut off, known as above,
 * so that two in three lie within these shares of it. Of triangles that were chosen by how the faces bend, as simplified
 * scans have them, how they turn says more than they cut off.
 */
export const SAG_SHARE = {
  face: 1 + SAG_DOUBT.face / 2,
  section: 1 + SAG_DOUBT.section / 2,
  uneven: 0.5,
} as const;

/** A fit that is widened until the bend of a face shows in it is wrong by that bend as well as by noise. */
export const BENT = 1.2;

/** A height of the margin is read off a slope: it is this many times as uncertain as the outline's place in plan. */
const SLOPE = 1.5;

/** Standard uncertainty of the height of one point of the margin, mm. */
export function heightError(quality: ScanQuality): number {
  const { noise, resolution } = pointError(quality);
  return SLOPE * Math.hypot(noise, resolution);
}

/**
 * By what share noise that neighbours share lengthens a line: half its mean squared slope, a wave being as long as two of its
 * stretches.
 */
export function sharedLengthening({ alike }: ScanQuality): number {
  return alike === undefined ? 0 : (Math.PI * (alike.sigma / alike.reach)) ** 2 / 2;
}

/**
 * Standard error of a mean over `size` of a surface or of a line along it, by noise that neighbours share: `power` 1 of a length,
 * mm, 2 of an area, mm².
 */
export function sharedError({ alike }: ScanQuality, size = 0, power: 1 | 2 = 1): number {
  if (alike === undefined) return 0;
  return alike.sigma / Math.sqrt(Math.max(1, size / alike.reach ** power));
}
