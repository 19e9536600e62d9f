import { greatestContour } from '../geometry/rasterContour.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Cv } from '../intake/photoOpencv.ts';
import { reduce } from '../intake/photoRead.ts';
import type { Photo, ReducedPixels } from '../intake/photoTypes.ts';
import { doubtfulBays } from './photoBays.ts';
import { type FineBoundary, refineBoundary } from './photoBoundary.ts';
import { isCard } from './photoCard.ts';
import { isCoin } from './photoCoin.ts';
import { colourEdges } from './photoEdge.ts';
import { greatestWithin, partWithin } from './photoParts.ts';
import { finerRegion, type Region } from './photoRegion.ts';
import type { CoarsePieces } from './photoSegment.ts';
import { type Sharpness, sharpnessOf, softEdge, softLooks } from './photoSharpness.ts';
import { softError } from './photoWarnings.ts';

/** A thin tip is followed outward by so many steps of the band at most. */
const ROUNDS = 5;
/** How far the contour of the finest mask may lie from the edge, pixels. */
const CONTOUR_ERROR = 2;
/** From this share of soft looks and of no edge on another outline is tried. */
const LOOKED_AGAIN = 0.08;
/** Cells that sharp edges close in are the piece when less than this share of what was soft or showed no edge is so in their outline. */
const SHARPER = 0.5;

/** Of the looks at what is given up so many must be soft; or so much more of the other boundary shows an edge; or so little of it is soft, for all that was. */
const [GIVEN_UP, FAINT, CLEAR] = [0.9, 0.1, 0.4];
/** Boundaries are apart from this many pixels on, twice as many at most. */
const APART = 6;

/** A boundary, in pixels of the picture that it was drawn in. */
export interface DrawnBoundary {
  readonly picture: ReducedPixels;
  readonly fine: FineBoundary;
  readonly card: boolean;
  /** What it was drawn from; absent for a mask. */
  readonly coarse?: CoarsePieces;
  /** How sharp the picture is along it; not looked at for a card. */
  readonly sharpness?: Sharpness;
}

/** A boundary with what is looked for along it: a card’s and a coin’s are not looked at. */
export function drawn(fine: FineBoundary, picture: ReducedPixels, cv: Cv): DrawnBoundary {
  const card = isCard(fine.ring, cv) || isCoin(fine.ring);
  return { picture, fine, card, ...(card ? {} : { sharpness: sharpnessOf(picture, fine.ring) }) };
}

/** A region with the boundary drawn from it. */
interface DrawnRegion {
  readonly region: Region;
  readonly one: DrawnBoundary | undefined;
}

/**
 * The boundary of a region, with those of its doubtful bays filled whose edge is the sharper one by far then: these are
 * glints.
 */
export function clearestBoundary(
  found: Region,
  all: CoarsePieces,
  photo: Photo,
  cv: Cv,
): DrawnBoundary | undefined {
  const { region, one } = sharpestBoundary(found, all, photo, cv);
  if (one?.sharpness === undefined) return one;
  const { coarse = all } = one;
  const { bare, grid } = coarse;
  const isBare = (x: number, y: number): boolean => bare[y * grid.width + x] === 1;
  const bays = doubtfulBays(region, grid.factor / one.picture.factor, one.fine.ring, one.sharpness, isBare);
  if (bays === undefined) return one;
  const other = boundaryOf(bays.filled, coarse, photo, cv);
  if (other?.sharpness === undefined || other.picture.factor !== one.picture.factor) return one;
  const clearer = bays.clearer(other.fine.ring, other.sharpness);
  if (clearer === undefined) return one;
  return clearer === bays.filled ? other : (boundaryOf(clearer, coarse, photo, cv) ?? one);
}

/**
 * The boundary of a region; or where much of its edge is soft or too faint to be seen, that of the part of it which sharp edges close in, if that is
 * the sharper one by far: the rest is shadow. What is still soft then is told of that one.
 */
function sharpestBoundary(region: Region, coarse: CoarsePieces, photo: Photo, cv: Cv): DrawnRegion {
  const whole = { region, one: boundaryOf(region, coarse, photo, cv) };
  const { one } = whole;
  if (one?.sharpness === undefined || coarse.closedIn === undefined) return whole;
  const before = troubleOf(one);
  if (before < LOOKED_AGAIN) return whole;
  let [best, least]: [DrawnRegion, number] = [whole, SHARPER * before];
  for (const [k, closedIn] of coarse.closedIn.entries()) {
    const closed = closedIn();
    const part = greatestWithin(region, closed);
    if (part === undefined) continue;
    const other = boundaryOf(part, closed, photo, cv);
    if (other?.sharpness === undefined || other.picture.factor !== one.picture.factor) continue;
    const after = troubleOf(other);
    if (after < least && leavesShadow(one, one.sharpness, other, k === 0))
      [best, least] = [{ region: part, one: other }, after];
    if (least < LOOKED_AGAIN) break;
  }
  return best;
}

/**
 * Whether what lies between a boundary and another one within it may be shadow: where it is given up the boundary was soft, while the edge of a pale facet
 * that is left out was as sharp as all others; or much of it showed no edge at all, and the other does; or the other, where gaps in it
 * were bridged (`mayClear`), leaves nothing to be told.
 */
function leavesShadow(
  one: DrawnBoundary,
  looks: Sharpness,
  other: DrawnBoundary,
  mayClear: boolean,
): boolean {
  if (softGivenUp(one, looks, other) >= GIVEN_UP || other.fine.found > one.fine.found + FAINT) return true;
  if (!mayClear || other.sharpness === undefined) return false;
  return softLooks(other.sharpness) < CLEAR * softLooks(looks) && softError(softEdge(other.sharpness)) === 0;
}

/** Of the looks along a boundary that lie apart from another one, the share that is soft; 1 where none does. */
function softGivenUp(
  { fine: { ring } }: DrawnBoundary,
  { places, soft }: Sharpness,
  other: DrawnBoundary,
): number {
  const near = new Set<number>();
  const squareOf = (x: number, y: number): number => Math.floor(y / APART) * 65536 + Math.floor(x / APART);
  const { ring: kept } = other.fine;
  for (let i = 0; i < kept.length; i += 2) {
    const square = squareOf(kept[i], kept[i + 1]);
    for (const row of [-65536, 0, 65536]) for (const step of [-1, 0, 1]) near.add(square + row + step);
  }
  let [all, softly] = [0, 0];
  places.forEach((place, k) => {
    if (near.has(squareOf(ring[2 * place], ring[2 * place + 1]))) return;
    all++;
    softly += soft[k];
  });
  return all === 0 ? 1 : softly / all;
}

/** Share of a boundary at which it looks soft, or shows no edge. Single looks count as well here: nothing is told by them, only looked at again. */
function troubleOf({ fine, sharpness }: DrawnBoundary): number {
  return 1 - fine.found + (sharpness === undefined ? 0 : softLooks(sharpness));
}

/**
 * Grid → reduced picture → whole picture: each step looks at pixels near the boundary only. Of a card, which is seldom
 * measured and as a rule longer round than the piece, the reduced picture tells enough.
 */
function boundaryOf(region: Region, coarse: CoarsePieces, photo: Photo, cv: Cv): DrawnBoundary | undefined {
  const { reduced } = photo;
  const { grid, mask } = coarse;
  const steps: [ReducedPixels, ReducedPixels][] = [];
  if (grid.factor > reduced.factor) steps.push([grid, reduced]);
  if (reduced.factor > 1) steps.push([reduced, reduce(photo, 1)]);
  let fine = region;
  let picture = reduce(photo, 1);
  let ring = greatestContour(region.mask, region.width);
  for (const [index, [wider, finer]] of steps.entries()) {
    const ratio = wider.factor / finer.factor;
    let from = index === 0 || ring === undefined ? fine : partWithin(fine, ring);
    for (let round = 1; round <= ROUNDS; round++) {
      const drawn = finerRegion(from, wider, finer, ratio, wider === grid ? mask : undefined);
      fine = drawn.fine;
      if (drawn.again === undefined) break;
      from = drawn.again;
    }
    ring = greatestContour(fine.mask, fine.width);
    picture = finer;
    if (index + 1 < steps.length && ring !== undefined && isCard(ring, cv)) break;
  }
  if (ring === undefined) return undefined;
  const placed = moved(ring, fine.left, fine.top);
  const refined = refineBoundary(colourEdges(picture), placed, { error: CONTOUR_ERROR });
  return { ...drawn(refined, picture, cv), coarse };
}

function moved(ring: Points2, x: number, y: number): Points2 {
  const out = new Float64Array(ring.length);
  for (let i = 0; i < ring.length; i += 2) {
    out[i] = ring[i] + x;
    out[i + 1] = ring[i + 1] + y;
  }
  return out;
}
