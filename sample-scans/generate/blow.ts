import type { Random } from './random.ts';
import { leavesEnough, staysWhole } from './safety.ts';
import { type Scar, scarHeight } from './scar.ts';
import type { FaceId, Stone } from './stone.ts';

/** The height over the margin plane that the knapper is after, by face and plan point. */
export type WantedHeight = (face: FaceId, x: number, y: number) => number;

/** How one blow is meant. Lengths in mm, angles in radians. */
export interface Blow {
  readonly face: FaceId;
  /** Platform in plan, and unit direction inward. */
  readonly x: number;
  readonly y: number;
  readonly dx: number;
  readonly dy: number;
  readonly length: number;
  readonly width: number;
  /** How far the old edge may stand out beyond the platform. */
  readonly behind: number;
  /** The most that the flake may take off at its middle, and the least that is worth a blow. */
  readonly thickest: number;
  readonly thinnest: number;
  /** The scar's middle does not go deeper than this. */
  readonly wanted: WantedHeight;
  readonly termination: Scar['termination'];
  /** Depth of the bulb's hollow as a share of the flake's thickness. */
  readonly bulb: number;
  /** How much tighter the scar is at the platform: 0 leaves a shallow bite, 2 a deep scallop. */
  readonly flare: number;
  readonly ripple: number;
  /** The greatest curvature across, 1/mm. */
  readonly tightest: number;
}

const MIDDLE = 0.52;

/**
 * The scar of a blow on the stone as it stands. The platform lies on the other face, so the margin is bitten back to it and
 * moves toward that face; inward the fracture follows the surface at the depth that the flake is thick, and its flanks come
 * out where they meet older scars. A flake ends where its fracture first comes out, and a blow that would leave less than
 * the knapper wants is tried again thinner; null when there is nothing to take off.
 */
export function scarOf(stone: Stone, blow: Blow, random: Random): Scar | null {
  let { thickest, length } = blow;
  for (let attempt = 0; attempt < 6; attempt++) {
    const scar = shaped(stone, { ...blow, length, thickest }, random);
    if (!scar) return null;
    const out = runsOutAt(stone, blow.face, scar);
    if (out < 0.8 * length) {
      length = Math.max(0.5 * length, 1.05 * out);
    } else {
      const ended = { ...scar, length: out };
      if (leavesEnough(stone, blow, ended) && staysWhole(stone, blow.face, ended)) return ended;
      thickest *= 0.65;
    }
  }
  return null;
}

/** Where the fracture first comes out of the face along its axis: a flake ends there. */
function runsOutAt(stone: Stone, face: FaceId, scar: Scar): number {
  const parts = { wall: false };
  const step = scar.length / 24;
  for (let u = 2 * step; u < scar.length; u += step) {
    const aside = scar.bend * u * u;
    const x = scar.x + u * scar.dx - aside * scar.dy;
    const y = scar.y + u * scar.dy + aside * scar.dx;
    if (scarHeight(scar, x, y, Infinity, parts) > stone.height(face, x, y) + 0.02) return u;
  }
  return scar.length;
}

function shaped(stone: Stone, blow: Blow, random: Random): Scar | null {
  const { face, length } = blow;
  const width = Math.min(blow.width, 1.6 * length);
  const at = (id: FaceId, u: number, v: number): number =>
    stone.height(id, blow.x + u * blow.dx - v * blow.dy, blow.y + u * blow.dy + v * blow.dx);
  const level = (u: number): number =>
    (at(face, u, -0.3 * width) + 2 * at(face, u, 0) + at(face, u, 0.3 * width)) / 4;
  const middle = MIDDLE * length;
  const z0 = -at(face === 0 ? 1 : 0, 0, 0);
  const here = level(middle);
  const wanted = blow.wanted(face, blow.x + middle * blow.dx, blow.y + middle * blow.dy);
  const depth = Math.min(blow.thickest, here - wanted);
  if (depth < blow.thinnest) return null;
  const zMiddle = here - depth;
  const rise = blow.termination === 'feather' ? 0 : 0.55 * depth;
  const zEnd = level(length) - rise;
  // Parabola through platform, middle and end.
  const a = (zMiddle - z0) / middle;
  const b = (zEnd - z0) / length;
  const z2 = (b - a) / (length - middle);
  const tilt = clamp((at(face, middle, 0.5 * width) - at(face, middle, -0.5 * width)) / width, 0.3);
  const flanks = (at(face, middle, width / 2) + at(face, middle, -width / 2)) / 2 - zMiddle;
  const half = width / 2;
  return {
    x: blow.x,
    y: blow.y,
    dx: blow.dx,
    dy: blow.dy,
    z0,
    z1: a - z2 * middle,
    z2,
    tilt: 0.25 * tilt,
    twist: (0.75 * tilt) / middle,
    bend: (0.12 * random.normal()) / length,
    hollow: Math.min(blow.tightest, (2 * Math.min(2 * depth, Math.max(0.4 * depth, flanks))) / (half * half)),
    flare: blow.flare * random.between(0.6, 1.4),
    halfWidth: half,
    length,
    behind: blow.behind,
    termination: blow.termination,
    bulb: blow.bulb * depth,
    bulbSize: Math.max(0.7, 0.1 * length + 0.05 * width),
    ripple: blow.ripple * random.between(0.3, 1.4),
    rippleStep: (0.1 * length + 1) * random.between(0.8, 1.3),
  };
}

function clamp(value: number, limit: number): number {
  return Math.max(-limit, Math.min(limit, value));
}
