import { smoothField } from '../geometry/fieldSmooth.ts';
import { prominentPeaks } from '../geometry/prominence.ts';
import {
  growRegion,
  inradius,
  openRegion,
  type Region,
  regionAbove,
  visitRegion,
} from '../geometry/rasterRegion.ts';
import { fitCap } from './humpsCap.ts';
import type { FaceFrame } from './humpsFace.ts';
import { hasFoot } from './humpsFoot.ts';

/** A lump of the excess field. Lengths in mm; cells of the map. */
export interface Lump {
  /** Peak in plan. */
  readonly x: number;
  readonly y: number;
  /** Of the peak above the reference, and above its key col. */
  readonly height: number;
  readonly prominence: number;
  readonly footprint: Region;
}

/** What makes a lump a hump. mm, mm². */
export interface LumpLimits {
  readonly prominence: number;
  readonly footprint: number;
  /** Robust spread of the face about its reference: the relief of its scars. */
  readonly spread: number;
}

/** Standard deviation of the smoothing that takes off noise and the crests of arrises, mm. */
const SMOOTHING = 0.5;
/** The outermost ring of a face, mm: the fall to the margin is no part of the face. */
const RING = 1;
/** A peak nearer to the margin than this belongs to the edge, mm. */
const LEAST_DEPTH = 1.5;
/** Half-way up, a hump holds a disc of this radius, mm; an arris does not. */
const LEAST_RADIUS = 1.4;
/** A round one may be smaller: its disc is so much of a disc of its own area. Where arrises meet they part like a star. */
const ROUND = { radius: 1.1, share: 0.75 } as const;
/** Half-way up, a hump is at most about this many times as long as wide; a ridge is longer. */
const LONGEST = 5;
/** What hangs on to the body of a lump by less than this share of its width is no part of the body. */
const BODY = 0.8;
/** A peak that stands out by a smaller share of its own height is relief on a greater lump. */
const LEAST_SHARE = 0.35;
/** Peaks are looked for down to this share of the least prominence; the fit of the cap decides. */
const CANDIDATE = 0.6;
/** The foot of a hump: this share of the prominence above the col, or as many spreads, but at most half-way up. */
const FOOT_SHARE = 0.1;
const FOOT_SPREADS = 1.5;
/** Of its body's radii, the reach about which a lump must have a foot. */
const OWN_FOOT = 1.2;
/** A body that is so much of a disc, and of a radius that is so small a share of the face's, is a lump by itself, whatever hangs on to it lower down. */
const COMPACT = { disc: 0.8, radius: 0.15 } as const;
/** Arms of a footprint narrower than twice this are arrises that run on to it, mm. */
const ARM = 0.8;

/** Excess that takes part in the search: without the outermost ring, smoothed. */
export function searchField(excess: Float32Array, { map, depth }: FaceFrame): Float32Array {
  const inner = excess.map((e, k) => (depth[k] >= RING ? e : NaN));
  return smoothField(inner, map.columns, SMOOTHING / map.cell);
}

/**
 * Humps of one face, most prominent first. `heights` are those of the face over the margin surface, `excess` those over its
 * reference, mm; NaN outside.
 */
export function findLumps(
  heights: Float32Array,
  excess: Float32Array,
  frame: FaceFrame,
  limits: LumpLimits,
): Lump[] {
  const { map, depth } = frame;
  const field = searchField(excess, frame);
  const face = smoothField(heights, map.columns, SMOOTHING / map.cell);
  const lumps: Lump[] = [];
  for (const peak of prominentPeaks(field, map.columns, 0, CANDIDATE * limits.prominence)) {
    if (depth[peak.cell] < LEAST_DEPTH || peak.prominence < LEAST_SHARE * peak.height) continue;
    const at = (share: number) => peak.col + share * peak.prominence;
    const half = regionAbove(field, map.columns, peak.cell, at(0.5));
    const row = Math.floor(peak.cell / map.columns);
    const near = { column: peak.cell - row * map.columns, row };
    if (isRidge(half, near, map.cell)) continue;
    const foot = Math.min(0.5, Math.max(FOOT_SHARE, (FOOT_SPREADS * limits.spread) / peak.prominence));
    const whole = regionAbove(field, map.columns, peak.cell, at(foot));
    const footprint = openRegion(whole, ARM / map.cell, near);
    const area = footprint.count * map.cell ** 2;
    if (area < limits.footprint) continue;
    const cap = fitCap(excess, map, half, near);
    const prominence = cap.height - peak.col;
    if (prominence < limits.prominence) continue;
    if (!standsOnFoot(face, frame, half, cap, Math.sqrt(area / Math.PI))) continue;
    lumps.push({ x: cap.x, y: cap.y, height: cap.height, prominence, footprint });
  }
  return lumps.sort((a, b) => b.prominence - a.prominence || a.y - b.y || a.x - b.x);
}

/** Too narrow for a hump, or a narrow body drawn out long. */
function isRidge(half: Region, near: { column: number; row: number }, cell: number): boolean {
  const radius = inradius(half);
  const isRound = radius >= ROUND.share * Math.sqrt(half.count / Math.PI);
  if (radius * cell < (isRound ? ROUND.radius : LEAST_RADIUS)) return true;
  const body = openRegion(half, BODY * radius, near);
  // An ellipse of half-axes r and n·r has the area π·n·r².
  return body.count > Math.PI * LONGEST * radius * radius;
}

/**
 * A lump has a foot about its own body, half-way up, and about its whole footprint: beside crests the one may be a crest's
 * shoulder. Of a compact body alone the footprint does not tell, which may run far along the crest that it stands on.
 */
function standsOnFoot(
  face: Float32Array,
  { map, greatestDepth }: FaceFrame,
  half: Region,
  { x, y }: { readonly x: number; readonly y: number },
  radius: number,
): boolean {
  const body = Math.sqrt(half.count / Math.PI);
  const own = body * map.cell;
  if (!hasFoot(face, map, x, y, OWN_FOOT * own)) return false;
  const isCompact = inradius(half) >= COMPACT.disc * body && own <= COMPACT.radius * greatestDepth;
  return isCompact || hasFoot(face, map, x, y, radius);
}

/** 1 for cells on or near a lump: a footprint grown by a share of its own equivalent radius. */
export function coverLumps(lumps: readonly Lump[], { map }: FaceFrame, share: number): Uint8Array {
  const out = new Uint8Array(map.columns * map.rows);
  for (const { footprint } of lumps) {
    const grown = growRegion(footprint, share * Math.sqrt(footprint.count / Math.PI));
    visitRegion(grown, (column, row) => {
      if (column < 0 || row < 0 || column >= map.columns || row >= map.rows) return;
      out[row * map.columns + column] = 1;
    });
  }
  return out;
}
