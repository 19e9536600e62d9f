import { type Blow, scarOf, type WantedHeight } from './blow.ts';
import { type Planform, placeIn, type Ring, ringOf } from './planform.ts';
import { type Platform, platformAt } from './platform.ts';
import { createRandom, type Random } from './random.ts';
import { flakeRemoval, type Scar } from './scar.ts';
import type { FaceId, Stone } from './stone.ts';

type Range = readonly [number, number];

/** One time round the stone. Lengths in mm. */
export interface Round {
  readonly form: Planform;
  /** Heights of Face A and B over the margin plane that the knapper is after at the middle. */
  readonly faces: Range;
  /** Distance between neighbouring platforms. */
  readonly spacing: number;
  /**
   * Which face is struck: turn and turn about, one face all the way round, or whichever brings the margin back to the
   * middle plane.
   */
  readonly order: 'alternate' | 'a' | 'b' | 'straighten';
  /** Length of flakes as a share of the way across the stone from the platform, and at most in mm. */
  readonly reach: Range;
  readonly longest?: number;
  readonly width: Range;
  readonly thickest: number;
  readonly thinnest: number;
  /** The most that one blow may bite off the margin. */
  readonly bite: number;
  /** Share of flakes that end in a hinge, and in a step. */
  readonly hinges?: number;
  readonly steps?: number;
  readonly bulb?: number;
  readonly ripple?: number;
  /** Slant of the blows from square to the margin toward the tip, radians, and its scatter. */
  readonly slant?: number;
  readonly scatter?: number;
  /** Share of platforms passed over. */
  readonly skip?: number;
  /** Only platforms between these stations (share of length from the base). */
  readonly between?: Range;
  /** Only this side of the axis. */
  readonly side?: 'left' | 'right';
  /** Flakes stop short of this place: no flake gets over it. */
  readonly hump?: { readonly face: FaceId; readonly x: number; readonly y: number; readonly radius: number };
  readonly profile?: number;
  /** Passes by where the margin stands out less than this, mm. */
  readonly onlyProud?: number;
  /** Only the margin is at stake: flakes come off at full thickness whatever the face looks like. */
  readonly trim?: boolean;
}

/** Scars are never more tightly hollow than this across, 1/mm. */
const TIGHTEST = 0.35;
/** Least width and length of a flake per mm that its platform lies inside the margin. */
const WIDTH_PER_BITE = 3;
const LENGTH_PER_BITE = 1.6;

/** Takes the round's flakes off the stone, platform after platform, counter-clockwise from the base. */
export function knapRound(stone: Stone, round: Round, seed: number): void {
  const random = createRandom(seed);
  const ring = ringOf(round.form, round.spacing);
  const first = Math.floor(random.between(0, ring.x.length));
  for (let k = 0; k < ring.x.length; k++) {
    const i = (k + first) % ring.x.length;
    if (random.chance(round.skip ?? 0)) continue;
    const place = placeIn(round.form, ring.x[i], ring.y[i]);
    if (round.between && (place.t < round.between[0] || place.t > round.between[1])) continue;
    if (round.side && place.across > 0 !== (round.side === 'right')) continue;
    strikeAt(stone, round, ring, i, k, random);
  }
}

function strikeAt(stone: Stone, round: Round, ring: Ring, i: number, turn: number, random: Random): void {
  const way = (round.slant ?? 0) * (ring.nx[i] > 0 ? 1 : -1) + (round.scatter ?? 0.16) * random.normal();
  const [cos, sin] = [Math.cos(way), Math.sin(way)];
  const dx = cos * ring.nx[i] - sin * ring.ny[i];
  const dy = sin * ring.nx[i] + cos * ring.ny[i];
  const along = random.between(-0.25, 0.25) * ring.step;
  const start = platformAt(
    stone,
    ring.x[i] - along * ring.ny[i],
    ring.y[i] + along * ring.nx[i],
    dx,
    dy,
    round.bite * random.between(0.75, 1.1),
    round.onlyProud ?? -Infinity,
  );
  if (!start) return;
  const face = faceToStrike(stone, round, start, turn);
  const across = wayAcross(stone, start, dx, dy);
  let length = Math.min(round.longest ?? 0.75 * round.form.width, across * random.between(...round.reach));
  length = Math.max(length, LENGTH_PER_BITE * start.proud);
  let termination = endOf(round, random);
  const stop = round.hump && round.hump.face === face ? humpAhead(round.hump, start, dx, dy) : Infinity;
  if (stop < length) {
    length = Math.max(4, stop);
    termination = random.chance(0.65) ? 'step' : 'hinge';
  }
  const blow: Blow = {
    face,
    x: start.x,
    y: start.y,
    dx,
    dy,
    length,
    // The further in a blow falls, the wider a flake comes off: a narrow one would leave a slot.
    width: Math.max(random.between(...round.width), WIDTH_PER_BITE * start.proud),
    behind: start.furthest + 8,
    thickest: round.thickest * random.between(0.75, 1.15),
    thinnest: round.thinnest * random.between(0.7, 1.3),
    wanted: round.trim ? () => 0 : wantedFace(round),
    termination,
    bulb: (round.bulb ?? 0.3) * random.between(0.6, 1.3),
    flare: round.trim ? 0.15 : 1.7,
    ripple: round.ripple ?? 0.03,
    tightest: TIGHTEST,
  };
  const scar = scarOf(stone, blow, random);
  if (scar) stone.remove(face, flakeRemoval(scar));
}

function faceToStrike(stone: Stone, round: Round, start: Platform, turn: number): FaceId {
  if (round.order === 'a') return 0;
  if (round.order === 'b') return 1;
  if (round.order === 'alternate') return turn % 2 === 0 ? 0 : 1;
  // Striking Face A brings the margin down to the platform on Face B, and the other way round.
  const downTo = -stone.height(1, start.x, start.y);
  const upTo = stone.height(0, start.x, start.y);
  return Math.abs(downTo) < Math.abs(upTo) ? 0 : 1;
}

/** How far the stone goes from the platform in the direction of the blow, mm. */
function wayAcross(stone: Stone, start: Platform, dx: number, dy: number): number {
  let s = 4;
  while (s < 220 && stone.thickness(start.x + s * dx, start.y + s * dy) > 0) s += 1;
  return s;
}

function endOf(round: Round, random: Random): Scar['termination'] {
  const draw = random.between(0, 1);
  if (draw < (round.steps ?? 0)) return 'step';
  return draw < (round.steps ?? 0) + (round.hinges ?? 0) ? 'hinge' : 'feather';
}

/** Distance along the blow to the rim of the place that no flake gets over; Infinity when it passes by. */
function humpAhead(
  hump: { x: number; y: number; radius: number },
  start: Platform,
  dx: number,
  dy: number,
): number {
  const rx = hump.x - start.x;
  const ry = hump.y - start.y;
  const along = rx * dx + ry * dy;
  const aside = ry * dx - rx * dy;
  const chord = hump.radius * hump.radius - aside * aside;
  return along > 0 && chord > 0 ? along - Math.sqrt(chord) : Infinity;
}

/** A lens over the aimed-at plan. */
export function wantedFace(round: Round): WantedHeight {
  const power = round.profile ?? 0.8;
  return (face, x, y) => {
    const { across, half } = placeIn(round.form, x, y);
    if (!(Math.abs(across) < 1)) return 0;
    return round.faces[face] * (half / (round.form.width / 2)) ** 0.6 * (1 - across * across) ** power;
  };
}
