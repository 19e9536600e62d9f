import { smoothClosedLine } from '../geometry/adaptiveSmooth.ts';
import { planarCurve, resampleRing } from '../geometry/curvePlanar.ts';
import { maskInside } from '../geometry/polygonMask.ts';
import { polygonMoments } from '../geometry/polygonMoments.ts';
import { greatestContour } from '../geometry/rasterContour.ts';
import type { Hooks, Points2 } from '../geometry/types.ts';
import type { Cv } from '../intake/photoOpencv.ts';
import { reduce } from '../intake/photoRead.ts';
import type { Photo, Pixels, ReducedPixels } from '../intake/photoTypes.ts';
import { piecesOfAlpha } from './photoAlpha.ts';
import { doubtfulBays, type Mouth, withoutInlets } from './photoBays.ts';
import { beyondCorners, mayWiden } from './photoBeyond.ts';
import { type FineBoundary, refineBoundary } from './photoBoundary.ts';
import { isCard } from './photoCard.ts';
import { cutCorners } from './photoCorners.ts';
import { rimDoubts } from './photoDoubts.ts';
import { colourEdges } from './photoEdge.ts';
import { finerRegion, type Region } from './photoRegion.ts';
import { wholeness } from './photoScattered.ts';
import { type CoarsePieces, findPieces, type KnownPlaces } from './photoSegment.ts';
import { FAR, type Sharpness, sharpnessOf, softEdge, softLooks, softlyShown } from './photoSharpness.ts';
import { spursBeyond } from './photoSpurs.ts';
import { tipsOf, withEnds } from './photoTips.ts';
import { softError } from './photoWarnings.ts';

/** Something that stands off the backdrop, with its boundary to a fraction of a pixel. */
export interface PhotoPiece {
  /** Closed ring, image pixels (x right, y down), one point about every pixel. */
  readonly ring: Points2;
  /** Share of the ring, 0…1, at which the picture shows an edge; less where the ring is about one of scattered parts alone. */
  readonly found: number;
  /** Standard uncertainty of the ring's place, square to it, pixels. */
  readonly error: number;
  /** The same about each point of the ring; absent where a reduced picture or a hand drew it. */
  readonly errors?: Float64Array;
  /** Share of the ring, 0…1, along which the edge is soft: a shadow's, or out of focus. */
  readonly soft: number;
  /** The longest such stretch, as a share of the ring. */
  readonly softStretch: number;
  /** Share of the ring, 0…1, next to which the backdrop is unlike itself: stone of nearly its colour may lie there. */
  readonly odd?: number;
  /** Share of the ring, 0…1, next to which a part with a sharp edge of its own may be a hard shadow or a darker facet. */
  readonly hemmed?: number;
  /** How wide such parts, and those inside that may be shadow, are in the mean over the whole ring, pixels. */
  readonly hem?: number;
  /** Share of the ring, 0…1, along which the inside is only darker than the backdrop while the rest is of another colour: a hard shadow's. */
  readonly dim?: number;
  /** How far its corners may go on beyond the ring, pixels: the farthest; absent where none does so far that it is to be told. */
  readonly beyond?: number;
  /** How far its edges are blurred, pixels of the picture that it was drawn in: standard deviation of a bell that would do it. */
  readonly blur?: number;
  /** Whether lines of the backdrop were left out, some of which may have met the ring. */
  readonly lined?: boolean;
  /** Pixels inside. */
  readonly area: number;
  /** `card`: four straight sides, as a label or a bar has. `cut`: it runs out of the picture. */
  readonly kind: 'piece' | 'card' | 'cut';
  /** Where a person corrected the ring: standard uncertainty of the hand at each of its points, pixels, 0 where it was traced. */
  readonly hand?: Float64Array;
}

/** Smaller things are specks: share of the picture, and share of the greatest piece. */
const LEAST = 0.0008;
const LEAST_OF_GREATEST = 0.05;
/** Share of its points on the frame from which on a thing is taken to run out of the picture. */
const ON_FRAME = 0.01;
/** A thin tip is followed outward by so many steps of the band at most. */
const ROUNDS = 5;
/** How far the contour of the finest mask may lie from the edge, pixels. */
const CONTOUR_ERROR = 2;
/** Noise is taken off the ring over at most this many pixels to either side. */
const WIDEST = 24;
/** Share of the blur by which a ring errs where its outline bends (practice). */
const BLURRED = 0.05;
/** Cells within which a part lies next to a ring. */
const HEM_REACH = 2;
/** Points to either side of a corner that err as it does where it may go on beyond the ring. */
const CORNER_REACH = 6;
/** Cells that sharp edges close in are the piece when they are this share of it, and of their outline hardly any is soft and less than this share of what was. */
const [LEAST_CLOSED, SHARPER] = [0.5, 0.4];
/** From this share of soft looks on another outline is tried. */
const LOOKED_AGAIN = 0.08;
/** What no reading of an edge in a photograph is better than, pixels (practice). */
const LEAST_ERROR = 0.05;

/**
 * The pieces in a photograph, likeliest first: greatest first, then cards, then what the frame cuts. Empty where
 * nothing stands off the backdrop. All matrices made are deleted.
 */
export function piecesOfPhoto(photo: Photo, known: KnownPlaces, cv: Cv, hooks: Hooks = {}): PhotoPiece[] {
  if (photo.masked)
    return ranked(piecesOfAlpha(photo, cv).map((fine) => toPiece(drawn(fine, reduce(photo, 1), cv), true)));
  hooks.progress?.(0, 'finding the piece');
  const coarse = findPieces(photo, known, cv);
  if (coarse === undefined) return [];
  const { grid, mask, firm, lined } = coarse;
  const inletless = regionsOf(mask, grid, cv).map((region) =>
    withoutInlets(withFirm(region, firm, grid.width)),
  );
  const regions = inletless.map(({ region }) => region);
  const mouths = [...(coarse.mouths ?? []), ...inletless.flatMap((one) => one.mouths)];
  hooks.signal?.throwIfAborted();
  const found = regions.map((region, index) => {
    hooks.progress?.(0.4 + (0.6 * index) / regions.length, 'drawing the outline');
    return clearestBoundary(region, coarse, photo, cv);
  });
  const cards = found.map(
    (one) =>
      one === undefined || one.card || liesUnder(inWhole(one.fine.ring, one.picture.factor), known.bar),
  );
  const whole = wholeness(regions, coarse.withLines ?? mask, cards, grid.width, cv);
  return ranked(
    found
      .map((one, k) => one && { ...toPiece(one, false, lined, mouths), wholeness: whole[k] })
      .filter((one) => one !== undefined)
      .map(({ wholeness, ...piece }): PhotoPiece => ({ ...piece, found: Math.min(piece.found, wholeness) }))
      .map((piece): PhotoPiece => (liesUnder(piece.ring, known.bar) ? { ...piece, kind: 'card' } : piece))
      .map((piece): PhotoPiece => (lined ? { ...piece, lined } : piece)),
  );
}

/** Parts of the mask as regions of the grid, holes filled; specks left out. */
function regionsOf(mask: Uint8Array, { width, height }: ReducedPixels, cv: Cv): Region[] {
  const contours = contoursOf(mask, width, height, cv);
  const areas = contours.map((ring) => Math.abs(polygonMoments([ring]).area));
  const least = Math.max(LEAST * width * height, LEAST_OF_GREATEST * Math.max(0, ...areas));
  return contours.filter((_, i) => areas[i] >= least).map(filled);
}

/** Outer contours of a mask, through the centres of its outermost cells. */
function contoursOf(mask: Uint8Array, width: number, height: number, cv: Cv): Points2[] {
  const from = new cv.Mat(height, width, cv.CV_8UC1);
  const contours = new cv.MatVector();
  const hierarchy = new cv.Mat();
  const rings: Points2[] = [];
  try {
    from.data.set(mask);
    cv.findContours(from, contours, hierarchy, cv.RETR_EXTERNAL, cv.CHAIN_APPROX_NONE);
    for (let i = 0; i < contours.size(); i++) {
      const contour = contours.get(i);
      // Fewer points enclose nothing.
      if (contour.rows >= 8) rings.push(Float64Array.from(contour.data32S));
      contour.delete();
    }
  } finally {
    for (const mat of [from, contours, hierarchy]) mat.delete();
  }
  return rings;
}

/** A region with those of its cells that stay. */
function withFirm(region: Region, firm: Uint8Array | undefined, columns: number): Region {
  if (firm === undefined) return region;
  const { left, top, width, mask } = region;
  const own = mask.map((one, i) => one & firm[(top + Math.floor(i / width)) * columns + left + (i % width)]);
  return own.includes(1) ? { ...region, firm: own } : region;
}

function filled(contour: Points2): Region {
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < contour.length; i += 2) {
    left = Math.min(left, contour[i]);
    right = Math.max(right, contour[i]);
    top = Math.min(top, contour[i + 1]);
    bottom = Math.max(bottom, contour[i + 1]);
  }
  const [width, height] = [right - left + 1, bottom - top + 1];
  const mask = maskInside([contour], { x0: left, y0: top, cell: 1, columns: width, rows: height });
  for (let i = 0; i < contour.length; i += 2) mask[(contour[i + 1] - top) * width + contour[i] - left] = 1;
  return { left, top, width, height, mask };
}

/** A boundary, in pixels of the picture that it was drawn in. */
interface DrawnBoundary {
  readonly picture: ReducedPixels;
  readonly fine: FineBoundary;
  readonly card: boolean;
  /** What it was drawn from; absent for a mask. */
  readonly coarse?: CoarsePieces;
  /** How sharp the picture is along it; not looked at for a card. */
  readonly sharpness?: Sharpness;
}

function drawn(fine: FineBoundary, picture: ReducedPixels, cv: Cv): DrawnBoundary {
  const card = isCard(fine.ring, cv);
  return { picture, fine, card, ...(card ? {} : { sharpness: sharpnessOf(picture, fine.ring) }) };
}

/** A region with the boundary drawn from it. */
interface DrawnRegion {
  readonly region: Region;
  readonly one: DrawnBoundary | undefined;
}

/**
 * The boundary of a region; or where much of its edge is soft, that of the part of it which sharp edges close in, if that is
 * the sharper one by far and leaves nothing to be told: the rest is shadow.
 */
function sharpestBoundary(region: Region, coarse: CoarsePieces, photo: Photo, cv: Cv): DrawnRegion {
  const whole = { region, one: boundaryOf(region, coarse, photo, cv) };
  const { one } = whole;
  if (one?.sharpness === undefined || coarse.closedIn === undefined) return whole;
  // Single looks count as well here: nothing is told by them, only looked at again.
  const before = softLooks(one.sharpness);
  if (before < LOOKED_AGAIN) return whole;
  const closed = coarse.closedIn();
  const part = greatestWithin(region, closed);
  if (part === undefined) return whole;
  const other = boundaryOf(part, closed, photo, cv);
  if (other?.sharpness === undefined || other.picture.factor !== one.picture.factor) return whole;
  const isSharper = softLooks(other.sharpness) < SHARPER * before;
  return isSharper && softError(softEdge(other.sharpness)) === 0 ? { region: part, one: other } : whole;
}

/** The greatest part of a region among other cells, unless that is all of it or too little to be the piece. */
function greatestWithin(region: Region, { mask, firm, grid }: CoarsePieces): Region | undefined {
  const { left, top, width } = region;
  const own = region.mask.map(
    (one, i) => one & mask[(top + Math.floor(i / width)) * grid.width + left + (i % width)],
  );
  const contour = greatestContour(own, width);
  if (contour === undefined) return undefined;
  const part = partWithin({ left, top, width, height: region.height, mask: own }, contour);
  const [before, after] = [region, part].map((one) => one.mask.reduce((sum, cell) => sum + cell, 0));
  return after < before && after > LEAST_CLOSED * before ? withFirm(part, firm, grid.width) : undefined;
}

/**
 * The boundary of a region, with those of its doubtful bays filled whose edge is the sharper one by far then: these are
 * glints.
 */
function clearestBoundary(found: Region, all: CoarsePieces, photo: Photo, cv: Cv): DrawnBoundary | undefined {
  const { region, one } = sharpestBoundary(found, all, photo, cv);
  if (one?.sharpness === undefined) return one;
  const { coarse = all } = one;
  const { factor } = coarse.grid;
  const bays = doubtfulBays(region, factor / one.picture.factor, one.fine.ring, one.sharpness);
  if (bays === undefined) return one;
  const other = boundaryOf(bays.filled, coarse, photo, cv);
  if (other?.sharpness === undefined || other.picture.factor !== one.picture.factor) return one;
  const clearer = bays.clearer(other.fine.ring, other.sharpness);
  if (clearer === undefined) return one;
  return clearer === bays.filled ? other : (boundaryOf(clearer, coarse, photo, cv) ?? one);
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
    if (ring !== undefined && isCard(ring, cv)) break;
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

/** The part of a region within one of its contours alone, holes filled. */
function partWithin(region: Region, contour: Points2): Region {
  const part = withFirm(filled(contour), region.firm, region.width);
  return { ...part, left: part.left + region.left, top: part.top + region.top };
}

/**
 * In pixels of the whole picture. Of a mask only its line counts: it is what it is, and colours beside it say nothing of it.
 * A card is seldom measured: nothing is looked for that would leave it in doubt.
 */
function toPiece(
  { picture, fine, card, coarse, sharpness }: DrawnBoundary,
  masked: boolean,
  lined = false,
  mouths: readonly Mouth[] = [],
): PhotoPiece {
  const { ring, found, noise, stray } = fine;
  const even = Number.isNaN(noise) ? ring : calmed(ring, noise);
  const tipped = withEnds(even, card ? [] : tipsOf(even, picture));
  const looked = masked ? undefined : sharpness;
  const corners = looked === undefined ? [] : cutCorners(tipped.ring, picture, looked.blur);
  const drawn = withEnds(tipped.ring, corners);
  const calm = drawn.ring;
  const { weak, odd, dim, oddAt } = looked === undefined ? UNDOUBTED : rimDoubts(picture, calm);
  const { soft, softStretch } = looked === undefined ? { soft: 0, softStretch: 0 } : softEdge(looked);
  const { factor } = picture;
  const blur = looked === undefined ? 0 : looked.blur;
  const whole = inWhole(calm, factor);
  const least = Math.max(LEAST_ERROR, BLURRED * blur);
  const strays = valuesAt(fine.strays, tipped.from);
  for (const { at, error = 0 } of corners) strays[at] = Math.max(strays[at], error);
  const beyond =
    looked === undefined ? [] : [...beyondCorners(calm, picture, looked.blur), ...spursBeyond(calm, picture)];
  const telling = beyond.filter((one) => mayWiden(calm, one));
  // Lines of a backdrop are odd by themselves.
  const errors = errorsOf(valuesAt(strays, drawn.from), least, factor, lined ? undefined : oddAt);
  const hem = wideAlong(calm, factor, coarse?.grid, coarse?.hem);
  const shade = wideAlong(calm, factor, coarse?.grid, coarse?.shade);
  const wide = raisedBy(errors, hem, shade);
  const unsure =
    coarse === undefined || mouths.length === 0 ? undefined : mouthsAlong(calm, factor, coarse.grid, mouths);
  if (unsure !== undefined) raiseBy(errors, unsure, 1 / Math.sqrt(12));
  for (const { at, error } of beyond) {
    for (let k = at - CORNER_REACH; k <= at + CORNER_REACH; k++) {
      const i = (k + errors.length) % errors.length;
      errors[i] = Math.max(errors[i], factor * error);
    }
  }
  return {
    ring: whole,
    found: Math.min(found, 1 - weak, softlyShown({ soft, softStretch })),
    odd: Math.max(odd, shareAboveZero(unsure)),
    hemmed: shareAboveZero(hem),
    hem: wide / errors.length,
    dim: Math.max(dim, shareAboveZero(shade)),
    blur,
    error: errorOf(stray, least, factor),
    ...(factor === 1 ? { errors } : {}),
    ...(telling.length === 0 ? {} : { beyond: factor * Math.max(...telling.map(({ reach }) => reach)) }),
    soft,
    softStretch,
    area: Math.abs(polygonMoments([whole]).area),
    kind: onFrame(ring, picture) > ON_FRAME ? 'cut' : card ? 'card' : 'piece',
  };
}

/** Pixels of the whole picture, from how far a reading strays in one reduced by `factor`; unread ones by a pixel of that. */
function errorOf(stray: number, least: number, factor: number): number {
  return factor * Math.max(least, Number.isNaN(stray) ? 1 : stray);
}

/** By point of a ring; at those that are marked odd stone may be left out. */
function errorsOf(
  strays: Float64Array,
  least: number,
  factor: number,
  odd: Uint8Array | undefined,
): Float64Array {
  const errors = new Float64Array(strays.length);
  for (let k = 0; k < errors.length; k++) {
    errors[k] = Math.max(errorOf(strays[k], least, factor), odd?.[k] === 1 ? factor * FAR : 0);
  }
  return errors;
}

function valuesAt(values: Float64Array, places: Uint32Array): Float64Array {
  const out = new Float64Array(places.length);
  for (let k = 0; k < out.length; k++) out[k] = values[places[k]];
  return out;
}

/** Raises errors to those of parts so wide on either side (rectangular); gives the sum of the wider ones. */
function raisedBy(
  errors: Float64Array,
  hem: Float64Array | undefined,
  shade: Float64Array | undefined,
): number {
  if (hem === undefined && shade === undefined) return 0;
  let sum = 0;
  for (let i = 0; i < errors.length; i++) {
    const wide = Math.max(hem?.[i] ?? 0, shade?.[i] ?? 0);
    errors[i] = Math.max(errors[i], wide / Math.sqrt(3));
    sum += wide;
  }
  return sum;
}

/** Raises errors to a share of values where these are more. */
function raiseBy(errors: Float64Array, values: Float64Array, share: number): void {
  for (let i = 0; i < errors.length; i++) errors[i] = Math.max(errors[i], share * values[i]);
}

function shareAboveZero(values: Float64Array | undefined): number {
  if (values === undefined) return 0;
  let count = 0;
  for (let i = 0; i < values.length; i++) if (values[i] > 0) count++;
  return count / values.length;
}

/**
 * By point of a ring: how wide a part next to it is that may be stone left out or shadow left in, pixels of the whole picture;
 * undefined where there is none anywhere.
 */
function wideAlong(
  ring: Points2,
  factor: number,
  grid: ReducedPixels | undefined,
  wide: Float32Array | undefined,
): Float64Array | undefined {
  if (grid === undefined || wide === undefined) return undefined;
  const out = new Float64Array(ring.length / 2);
  const ratio = grid.factor / factor;
  for (let i = 0; i < out.length; i++) {
    const x = Math.floor((ring[2 * i] + 0.5) / ratio);
    const y = Math.floor((ring[2 * i + 1] + 0.5) / ratio);
    for (let v = Math.max(0, y - HEM_REACH); v <= Math.min(grid.height - 1, y + HEM_REACH); v++) {
      for (let u = Math.max(0, x - HEM_REACH); u <= Math.min(grid.width - 1, x + HEM_REACH); u++) {
        out[i] = Math.max(out[i], grid.factor * wide[v * grid.width + u]);
      }
    }
  }
  return out;
}

/** How wide the mouths are that points of a ring lie at, pixels of the whole picture; 0 elsewhere. */
function mouthsAlong(
  ring: Points2,
  factor: number,
  grid: ReducedPixels,
  mouths: readonly Mouth[],
): Float64Array {
  const out = new Float64Array(ring.length / 2);
  const ratio = grid.factor / factor;
  for (const { x, y, wide } of mouths) {
    for (let i = 0; i < out.length; i++) {
      const [dx, dy] = [(ring[2 * i] + 0.5) / ratio - x - 0.5, (ring[2 * i + 1] + 0.5) / ratio - y - 0.5];
      if (dx * dx + dy * dy <= wide * wide) out[i] = Math.max(out[i], grid.factor * wide);
    }
  }
  return out;
}

/** A ring of a reduced picture on the whole one, again one point about every pixel. */
function inWhole(ring: Points2, factor: number): Points2 {
  if (factor === 1) return ring;
  const first = (factor - 1) / 2;
  const curve = planarCurve(ring.map((v) => first + factor * v));
  return resampleRing(curve, Math.round(curve.length));
}

/** The ring without the noise of its readings, corners kept. */
function calmed(ring: Points2, noise: number): Points2 {
  const curve = planarCurve(ring);
  const n = ring.length / 2;
  const channels = [new Float64Array(n), new Float64Array(n)];
  for (let i = 0; i < 2 * n; i++) channels[i & 1][i >> 1] = ring[i];
  const { channels: out } = smoothClosedLine(
    { channels, arc: curve.arc, length: curve.length },
    noise,
    WIDEST,
  );
  const calm = new Float64Array(2 * n);
  for (let i = 0; i < 2 * n; i++) calm[i] = out[i & 1][i >> 1];
  return calm;
}

function onFrame(ring: Points2, { width, height }: Pixels): number {
  let count = 0;
  for (let i = 0; i < ring.length; i += 2) {
    if (ring[i] < 2 || ring[i + 1] < 2 || ring[i] > width - 3 || ring[i + 1] > height - 3) count++;
  }
  return count / (ring.length / 2);
}

/** Whether a ring encloses most of the line between two points. */
function liesUnder(ring: Points2, ends: Float64Array | undefined): boolean {
  if (ends === undefined) return false;
  const [x0, y0, x1, y1] = ends;
  let inside = 0;
  for (let k = 1; k < 10; k++) {
    const [x, y] = [x0 + ((x1 - x0) * k) / 10, y0 + ((y1 - y0) * k) / 10];
    inside += maskInside([ring], { x0: x, y0: y, cell: 1, columns: 1, rows: 1 })[0];
  }
  return inside > 4;
}

/** What is not looked over is not doubted. */
const UNDOUBTED = { weak: 0, odd: 0, dim: 0, oddAt: undefined };

const ORDER = { piece: 0, card: 1, cut: 2 } as const;

function ranked(pieces: PhotoPiece[]): PhotoPiece[] {
  return pieces.sort((a, b) => ORDER[a.kind] - ORDER[b.kind] || b.area - a.area);
}
