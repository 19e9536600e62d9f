import type { ClosedLine } from './closedLine.ts';
import { alongSide, type CornerSide, cornerSide, onSide } from './cornerSide.ts';

/** Points within this many mean spacings of a corner are laid on its sides: fits of their own have it at one end. */
const LAID = 5;
/** Standard errors that the points about a corner may lie off its sides on average, beyond which it is round. */
const ROUND = 2;
/** Standard errors by which the meeting may miss the corner's own point, beyond which either may be mistaken. */
const APART_AT_MOST = 2;
/**
 * A corner's own point is the outermost of the few that might be it: about a standard deviation too far out on average,
 * and as uncertain as any other, it errs by this many standard deviations altogether.
 */
const OUTERMOST = Math.SQRT2;
/** Sides that meet at a smaller angle, or at a greater one: those have no meeting point to speak of, at these it needs none. */
const LEAST_ANGLE = (15 * Math.PI) / 180;
const MOST_ANGLE = (110 * Math.PI) / 180;
const NEWTON_STEPS = 6;
/** Points on either side of a corner among which its end is looked for. */
const NEAR = 6;
/** A point laid on a side keeps this share of a spacing off the corner for each step that it stands away from it. */
const APART = 0.02;

/** A point of the line with its new place, and the standard deviation of what is left of the noise in it. */
export interface Laid {
  readonly index: number;
  readonly x: number;
  readonly y: number;
  readonly sigma: number;
}

/**
 * A sharp corner of a noisy plane line, drawn to where its two sides meet. No smoothing along the line can place it: noise
 * towards the corner or away from it is noise along the line there, and only the sides tell how far they go.
 *
 * A parabola is fitted to either side. Returns the corner and the points beside it, laid on those parabolas; nothing where
 * the points about the corner do not bear them out, as they do not where it is round. Where the corner's own point is
 * farther off than noise explains, only the corner moves, to between the two, or stays if the sides are the less sure.
 *
 * @param back, @param ahead arc length to the next corner either way; @param sigma standard deviation of the noise
 */
export function meetAtCorner(
  line: ClosedLine,
  corner: number,
  back: number,
  ahead: number,
  sigma: number,
): Laid[] {
  const one = cornerSide(line, corner, -1, back, sigma);
  const other = cornerSide(line, corner, 1, ahead, sigma);
  if (one === undefined || other === undefined) return [];
  const meeting = meet(one, other);
  // Where the sides tell less than the corner's own point does, it stays.
  if (meeting === undefined || meeting.sigma > OUTERMOST * sigma) return [];
  const [x, y] = line.channels;
  if (!isSharp(line, corner, [one, other], meeting, sigma)) return [];
  const miss = Math.hypot(meeting.at[0] - x[corner], meeting.at[1] - y[corner]);
  const apart = miss / Math.hypot(meeting.sigma, sigma);
  if (apart > APART_AT_MOST && meeting.sigma > sigma) return [];
  if (apart > APART_AT_MOST)
    return [between(meeting, { index: corner, x: x[corner], y: y[corner], sigma }, apart)];
  return [
    { index: corner, x: meeting.at[0], y: meeting.at[1], sigma: meeting.sigma },
    ...laidOn(line, corner, -1, one, meeting, back),
    ...laidOn(line, corner, 1, other, meeting, ahead),
  ];
}

/** A corner whose own point and whose sides do not agree: between the two, and less sure by as much as they disagree. */
function between({ at, sigma }: Meeting, own: Laid, apart: number): Laid {
  const share = own.sigma ** 2 / (own.sigma ** 2 + sigma ** 2);
  const both = 1 / Math.hypot(1 / own.sigma, 1 / sigma);
  const along = (from: number, to: number): number => from + share * (to - from);
  return { index: own.index, x: along(own.x, at[0]), y: along(own.y, at[1]), sigma: apart * both };
}

interface Meeting {
  readonly at: readonly [number, number];
  /** Unit vector from the meeting into the corner, between its sides. */
  readonly inward: readonly [number, number];
  /** Standard deviation of the meeting in the direction in which it is least sure. */
  readonly sigma: number;
}

/** Where two parabolas cross, by tangents from where they start. */
function meet(one: CornerSide, other: CornerSide): Meeting | undefined {
  let at = one.origin;
  let found: Meeting | undefined;
  for (let k = 0; k < NEWTON_STEPS; k++) {
    const a = onSide(one, alongSide(one, at[0], at[1]));
    const b = onSide(other, alongSide(other, at[0], at[1]));
    const sine = a.tangent[0] * b.tangent[1] - a.tangent[1] * b.tangent[0];
    const angle = Math.atan2(Math.abs(sine), a.tangent[0] * b.tangent[0] + a.tangent[1] * b.tangent[1]);
    if (angle < LEAST_ANGLE || angle > MOST_ANGLE) return undefined;
    const dx = b.at[0] - a.at[0];
    const dy = b.at[1] - a.at[1];
    const t = (dx * b.tangent[1] - dy * b.tangent[0]) / sine;
    at = [a.at[0] + t * a.tangent[0], a.at[1] + t * a.tangent[1]];
    const ix = a.tangent[0] + b.tangent[0];
    const iy = a.tangent[1] + b.tangent[1];
    const size = Math.hypot(ix, iy);
    // The meeting moves by (e₁ ± e₂)/2 over the sine and over the cosine of half the angle.
    const half = Math.min(Math.sin(angle / 2), Math.cos(angle / 2));
    found = { at, inward: [ix / size, iy / size], sigma: Math.hypot(a.sigma, b.sigma) / 2 / half };
  }
  return found;
}

/**
 * Whether the points about the corner lie on its sides, to within their noise: then the corner is sharp. Where it is round
 * they lie inside both.
 */
function isSharp(
  line: ClosedLine,
  corner: number,
  sides: readonly CornerSide[],
  { inward }: Meeting,
  noise: number,
): boolean {
  const [x, y] = line.channels;
  const n = line.arc.length;
  const gap = Math.max(...sides.map((side) => side.gap));
  let sum = 0;
  let count = 0;
  for (let k = -NEAR; k <= NEAR; k++) {
    const j = (corner + k + n) % n;
    if (Math.hypot(x[j] - x[corner], y[j] - y[corner]) > gap) continue;
    sum += Math.min(...sides.map((side) => insideOf(side, x[j], y[j], inward)));
    count++;
  }
  const ends = sides.map((side) => onSide(side, 0).sigma);
  return Math.abs(sum / count) < ROUND * Math.hypot(noise / Math.sqrt(count), ...ends);
}

/** Distance of a point from a side, positive where `inward` points. */
function insideOf(side: CornerSide, px: number, py: number, inward: readonly [number, number]): number {
  const { at, tangent } = onSide(side, alongSide(side, px, py));
  const across = (dx: number, dy: number): number => tangent[0] * dy - tangent[1] * dx;
  return Math.sign(across(inward[0], inward[1])) * across(px - at[0], py - at[1]);
}

/** The points next to the corner on one side, each where the side has it at its own distance along it. */
function laidOn(
  line: ClosedLine,
  corner: number,
  step: 1 | -1,
  side: CornerSide,
  { at }: Meeting,
  room: number,
): Laid[] {
  const [x, y] = line.channels;
  const n = line.arc.length;
  const spacing = line.length / n;
  const end = alongSide(side, at[0], at[1]);
  const out: Laid[] = [];
  for (let k = 1; k <= LAID && k * spacing < room / 2; k++) {
    const index = (corner + step * k + n) % n;
    // Noise may have put it beyond the corner.
    const u = Math.max(alongSide(side, x[index], y[index]), end + k * APART * spacing);
    const { at: place, sigma } = onSide(side, u);
    out.push({ index, x: place[0], y: place[1], sigma });
  }
  return out;
}
