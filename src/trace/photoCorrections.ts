import { brushed, type MarkedRing, uncrossed } from '../geometry/polygonBrush.ts';
import { polygonMoments } from '../geometry/polygonMoments.ts';
import type { Photo, Pixels } from '../intake/photoTypes.ts';
import { colourEdges } from './photoEdge.ts';
import type { PhotoPiece } from './photoPieces.ts';
import { sharpnessOf, softEdge } from './photoSharpness.ts';
import { outward, snapToLight } from './photoSnap.ts';
import { type Correction, TraceError } from './types.ts';

/** Crumbs that a stroke cuts off are dropped; a larger share of the piece is a part of it. */
const CRUMB = 0.01;
/** Of a piece that a stroke leaves less of, nothing is left. */
const LEAST_LEFT = 0.02;
/** Less has not changed, square pixels. */
const UNCHANGED = 0.5;
/** Moves over less than this leave a point where it is, pixels. */
const STILL = 0.02;
/** Drawn stretches have points this near to each other, pixels. */
const SPACING = 1.25;
/** A moved stretch is at most this share of the way round. */
const MOST_ROUND = 0.45;
/** Places at which a corrected ring is looked at again, and how far to either side, pixels. */
const LOOKS = 600;
const REACH = 4;

type Picture = Pick<Photo, 'width' | 'height' | 'rgba' | 'masked'>;

/** Rings after each correction that was drawn last, by the piece as it was traced: one more stroke costs one stroke. */
export type DrawnSteps = WeakMap<PhotoPiece, { readonly key: string; readonly ring: MarkedRing }[]>;

/**
 * The piece with corrections by hand drawn into its ring, one after the other. What no stroke touches stays to the last
 * bit. Where a stroke passes, the boundary is its edge, or an edge of light that lies near. Throws a TraceError that
 * names the stroke when one parts the piece, leaves nothing of it, or does not reach its outline.
 */
export function correctPiece(
  piece: PhotoPiece,
  corrections: readonly Correction[],
  photo: Picture,
  drawn: DrawnSteps = new WeakMap(),
): PhotoPiece {
  if (corrections.length === 0) return piece;
  const steps = drawn.get(piece) ?? [];
  drawn.set(piece, steps);
  let ring = markedRing(piece);
  corrections.forEach((correction, index) => {
    const key = JSON.stringify(correction);
    if (steps[index]?.key !== key) {
      steps.length = index;
      steps.push({ key, ring: drawInto(ring, correction, index + 1, photo) });
    }
    ring = steps[index].ring;
  });
  const { errors: _, ...others } = piece;
  return {
    ...others,
    ring: ring.points,
    hand: ring.marks,
    area: polygonMoments([ring.points]).area,
    found: photo.masked ? piece.found : foundShare(ring, photo),
    ...softEdge(sharpnessOf(photo, ring.points), ring.marks),
  };
}

/** Share of a ring that was drawn by hand, and the standard uncertainty of the hand there, pixels (RMS). */
export function drawnShare({ ring, hand, error }: PhotoPiece): {
  readonly share: number;
  readonly hand: number;
} {
  if (hand === undefined) return { share: 0, hand: 0 };
  let [drawn, whole, squares] = [0, 0, 0];
  for (let i = 0, n = hand.length; i < n; i++) {
    const j = (i + 1) % n;
    const step = Math.hypot(ring[2 * j] - ring[2 * i], ring[2 * j + 1] - ring[2 * i + 1]);
    whole += step;
    const mark = Math.max(hand[i], hand[j]);
    if (mark <= error) continue;
    drawn += step;
    squares += step * mark * mark;
  }
  return { share: drawn / whole, hand: drawn > 0 ? Math.sqrt(squares / drawn) : 0 };
}

/** Counter-clockwise by the sign of its area; marks are the hand's uncertainty. */
function markedRing({ ring, hand }: PhotoPiece): MarkedRing {
  const marks = hand ?? new Float64Array(ring.length / 2);
  if (polygonMoments([ring]).area > 0) return { points: ring, marks };
  const n = marks.length;
  return {
    points: Float64Array.from(ring, (_, i) => ring[2 * (n - 1 - (i >> 1)) + (i & 1)]),
    marks: Float64Array.from(marks).reverse(),
  };
}

/** New points are marked by minus the hand's uncertainty until it is known whether the picture shows an edge there. */
function drawInto(ring: MarkedRing, correction: Correction, number: number, photo: Picture): MarkedRing {
  const { kind, hand, exact } = correction;
  const drawn = kind === 'move' ? moved(ring, correction, number) : painted(ring, correction, number);
  const fine = closeSet(drawn);
  if (exact === true || photo.masked) return settled(fine);
  return settled(greatest(uncrossed(snapToLight(fine, photo, hand), -hand)).ring);
}

function painted(ring: MarkedRing, { kind, points, radius, hand }: Correction, number: number): MarkedRing {
  const before = polygonMoments([ring.points]).area;
  const rings = brushed(ring, points, radius, kind === 'in' ? 'union' : 'difference', -hand);
  const { ring: left, area, others } = greatest(rings);
  if (area < LEAST_LEFT * before) throw refusal('correction-empties', number, 'leaves nothing of the piece');
  if (kind === 'in' && others > 0) {
    throw refusal('correction-outside', number, 'does not touch the piece: begin on it and paint outward');
  }
  if (others > CRUMB * area) throw refusal('correction-parts', number, 'parts the piece in two');
  if (Math.abs(area - before) >= UNCHANGED) return left;
  if (kind === 'in') {
    throw refusal(
      'correction-inside',
      number,
      'lies wholly inside the piece, where there is nothing to paint in',
    );
  }
  throw rings.length > 1
    ? refusal('correction-inside', number, 'does not reach the outline, and a hole in a piece is not kept')
    : refusal('correction-outside', number, 'lies wholly outside the piece');
}

/** The place nearest to the held one goes all the way, its neighbours the less the farther along the outline they are. */
function moved(
  ring: MarkedRing,
  { points: [from, to], radius, hand }: Correction,
  number: number,
): MarkedRing {
  const { points } = ring;
  const n = points.length / 2;
  let [at, near] = [0, Infinity];
  for (let i = 0; i < n; i++) {
    const away = Math.hypot(points[2 * i] - from[0], points[2 * i + 1] - from[1]);
    if (away < near) [at, near] = [i, away];
  }
  if (near > radius)
    throw refusal('correction-outside', number, 'takes hold of no line: begin on the outline');
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const size = Math.hypot(dx, dy);
  const out = { points: Float64Array.from(points), marks: Float64Array.from(ring.marks) };
  const put = (i: number, arc: number): void => {
    const share = Math.cos((Math.PI / 2) * (arc / radius)) ** 2;
    if (share * size < STILL) return;
    out.points[2 * i] += share * dx;
    out.points[2 * i + 1] += share * dy;
    out.marks[i] = -Math.max(out.marks[i], Math.min(hand, share * size));
  };
  put(at, 0);
  for (const sense of [1, -1]) {
    for (let k = 1, arc = 0; k < MOST_ROUND * n; k++) {
      const [i, j] = [(at + sense * k + n) % n, (at + sense * (k - 1) + n) % n];
      arc += Math.hypot(points[2 * i] - points[2 * j], points[2 * i + 1] - points[2 * j + 1]);
      if (arc >= radius) break;
      put(i, arc);
    }
  }
  const { ring: left, area, others } = greatest(uncrossed(out, -hand));
  if (area < LEAST_LEFT * polygonMoments([points]).area) {
    throw refusal('correction-empties', number, 'leaves nothing of the piece');
  }
  if (others > CRUMB * area) throw refusal('correction-parts', number, 'parts the piece in two');
  return left;
}

/** The greatest outer ring, its area, and the area of all other outer ones. Holes are not kept. */
function greatest(rings: readonly MarkedRing[]): { ring: MarkedRing; area: number; others: number } {
  let [best, area, all] = [{ points: new Float64Array(0), marks: new Float64Array(0) } as MarkedRing, 0, 0];
  for (const ring of rings) {
    const size = polygonMoments([ring.points]).area;
    if (size > 0) all += size;
    if (size > area) [best, area] = [ring, size];
  }
  return { ring: best, area, others: all - area };
}

/** Long sides of what was drawn get points between. */
function closeSet({ points, marks }: MarkedRing): MarkedRing {
  const n = marks.length;
  const [xy, out]: [number[], number[]] = [[], []];
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    xy.push(points[2 * i], points[2 * i + 1]);
    out.push(marks[i]);
    const fresh = Math.min(marks[i], marks[j]);
    if (fresh >= 0) continue;
    const [dx, dy] = [points[2 * j] - points[2 * i], points[2 * j + 1] - points[2 * i + 1]];
    const parts = Math.ceil(Math.hypot(dx, dy) / SPACING);
    for (let k = 1; k < parts; k++) {
      xy.push(points[2 * i] + (k / parts) * dx, points[2 * i + 1] + (k / parts) * dy);
      out.push(fresh);
    }
  }
  return { points: Float64Array.from(xy), marks: Float64Array.from(out) };
}

function settled({ points, marks }: MarkedRing): MarkedRing {
  return { points, marks: marks.map(Math.abs) };
}

/** Share of the traced places of a ring at which the picture shows an edge; 1 where all of it is drawn. */
function foundShare({ points, marks }: MarkedRing, picture: Pixels): number {
  const edges = colourEdges(picture);
  const n = marks.length;
  const step = Math.max(1, Math.floor(n / LOOKS));
  let [found, looked] = [0, 0];
  for (let i = 0; i < n; i += step) {
    if (marks[i] !== 0) continue;
    const [nx, ny] = outward(points, i, REACH);
    looked++;
    if (edges.at(points[2 * i], points[2 * i + 1], nx, ny, REACH) !== undefined) found++;
  }
  return looked === 0 ? 1 : found / looked;
}

function refusal(code: string, number: number, what: string): TraceError {
  return new TraceError(code, `Correction ${number} of the outline ${what}.`);
}
