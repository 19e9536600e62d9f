import { smoothClosedLine } from '../geometry/adaptiveSmooth.ts';
import { planarCurve, resampleRing } from '../geometry/curvePlanar.ts';
import { maskInside } from '../geometry/polygonMask.ts';
import { polygonMoments } from '../geometry/polygonMoments.ts';
import type { Hooks, Points2 } from '../geometry/types.ts';
import type { Cv } from '../intake/photoOpencv.ts';
import { reduce } from '../intake/photoRead.ts';
import type { Photo, Pixels } from '../intake/photoTypes.ts';
import { printedBlock } from '../intake/scaleBar.ts';
import {
  errorOf,
  errorsOf,
  mouthsAlong,
  raiseBy,
  raisedBy,
  shareAboveZero,
  valuesAt,
  wideAlong,
} from './photoAlong.ts';
import { piecesOfAlpha } from './photoAlpha.ts';
import { attachedAlong } from './photoAttached.ts';
import { seamedBaysAlong } from './photoBaySeams.ts';
import { type Mouth, withoutInlets } from './photoBays.ts';
import { beyondCorners, mayWiden } from './photoBeyond.ts';
import { cardAlong } from './photoCardAttached.ts';
import { cutCorners } from './photoCorners.ts';
import { rimDoubts } from './photoDoubts.ts';
import { clearestBoundary, type DrawnBoundary, drawn } from './photoDrawn.ts';
import { fieldPart, type PhotoPart, ringPart, thingsPart } from './photoPart.ts';
import { regionsOf, withFirm } from './photoParts.ts';
import { wholeness } from './photoScattered.ts';
import { type CoarsePieces, findPieces, type KnownPlaces } from './photoSegment.ts';
import { softEdge, softlyShown } from './photoSharpness.ts';
import { spursBeyond } from './photoSpurs.ts';
import { tipsOf, withEnds } from './photoTips.ts';
import { unlined } from './photoUnlined.ts';

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
  /** Share of the ring, 0…1, round parts that seem to be attached to the stone; absent where there are none. */
  readonly attached?: number;
  /** The same round parts with a card's straight sides and square corners. */
  readonly carded?: number;
  /** How far its corners may go on beyond the ring, pixels: the farthest; absent where none does so far that it is to be told. */
  readonly beyond?: number;
  /** How far its edges are blurred, pixels of the picture that it was drawn in: standard deviation of a bell that would do it. */
  readonly blur?: number;
  /** Whether lines of the backdrop were left out, some of which may have met the ring. */
  readonly lined?: boolean;
  /** Pixels inside. */
  readonly area: number;
  /** `card`: four straight sides, as a label or a bar has, or round as a coin. `cut`: it runs out of the picture. */
  readonly kind: 'piece' | 'card' | 'cut';
  /** Of a card with a scale bar on it: how long one of its blocks is, pixels. */
  readonly block?: number;
  /** Where a person corrected the ring: standard uncertainty of the hand at each of its points, pixels, 0 where it was traced. */
  readonly hand?: Float64Array;
}

/** Share of its points on the frame from which on a thing is taken to run out of the picture. */
const ON_FRAME = 0.01;
/** Noise is taken off the ring over at most this many pixels to either side. */
const WIDEST = 24;
/** Share of the blur by which a ring errs where its outline bends (practice). */
const BLURRED = 0.05;
/** Points to either side of a corner that err as it does where it may go on beyond the ring. */
const CORNER_REACH = 6;
/** A card is looked at for a bar with this share of its extent round it, in a picture of so many pixels. */
const [ROUND_CARD, CARD_PIXELS] = [0.05, 60_000];
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
  const part = fieldPart(photo, known);
  return part === undefined ? standingOff(photo, known, cv, hooks) : standingOffIn(part, cv, hooks);
}

/** The same of a part of the picture, with rings in the whole. */
function standingOffIn({ photo, known, x, y }: PhotoPart, cv: Cv, hooks: Hooks): PhotoPiece[] {
  return standingOff(photo, known, cv, hooks).map((piece) => ({
    ...piece,
    ring: piece.ring.map((v, i) => v + ((i & 1) === 0 ? x : y)),
  }));
}

function standingOff(photo: Photo, known: KnownPlaces, cv: Cv, hooks: Hooks): PhotoPiece[] {
  const coarse = findPieces(photo, known, cv);
  if (coarse === undefined) return [];
  // Outlines would run on along the lines of a backdrop.
  const { grid, mask, withLines = mask } = coarse;
  const plain = coarse.lined || coarse.astray === true ? unlined(photo, grid, withLines, cv) : undefined;
  if (plain === undefined) return drawnFrom(coarse, photo, known, cv, hooks);
  const again = findPieces(plain, known, cv, coarse.lined);
  return again === undefined ? [] : drawnFrom(again, plain, known, cv, hooks);
}

function drawnFrom(
  coarse: CoarsePieces,
  photo: Photo,
  known: KnownPlaces,
  cv: Cv,
  hooks: Hooks,
): PhotoPiece[] {
  const { grid, mask, firm, lined, narrow } = coarse;
  // Of a small thing what is narrow may be as thin as a line on a grid of the whole picture: it is looked at by itself.
  const part = narrow ? thingsPart(photo, known, grid, coarse.withLines ?? mask, cv) : undefined;
  const inletless = regionsOf(mask, grid, cv).map((region) =>
    withoutInlets(withFirm(region, firm, grid.width), (x, y) => coarse.bare[y * grid.width + x] === 1),
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
  const whole = wholeness(regions, coarse.withLines ?? mask, cards, grid.width);
  const pieces = found
    .map((one, k) => one && { ...toPiece(one, false, lined, mouths), wholeness: whole[k] })
    .filter((one) => one !== undefined)
    .map(({ wholeness, ...piece }): PhotoPiece => ({ ...piece, found: Math.min(piece.found, wholeness) }))
    .map((piece): PhotoPiece => (liesUnder(piece.ring, known.bar) ? { ...piece, kind: 'card' } : piece))
    .map((piece): PhotoPiece => (lined ? { ...piece, lined } : piece))
    .map((piece): PhotoPiece => withBar(piece, photo, known, cv))
    .map((piece): PhotoPiece => (runsBeyond(piece.ring, known.bare) ? { ...piece, kind: 'cut' } : piece));
  if (part === undefined) return ranked(pieces);
  const others = pieces.filter(({ ring }) => !liesIn(ring, part));
  return ranked([...standingOffIn(part, cv, hooks), ...others]);
}

/** A card with the length of the blocks of the scale bar on it, if there is one that the scale does not rest on. */
function withBar(piece: PhotoPiece, photo: Photo, known: KnownPlaces, cv: Cv): PhotoPiece {
  if (piece.kind !== 'card' || liesUnder(piece.ring, known.bar)) return piece;
  const small = ringPart(photo, piece.ring, ROUND_CARD, CARD_PIXELS);
  const block = printedBlock(small, cv);
  return block === undefined ? piece : { ...piece, block: small.factor * block };
}

/** Whether any of a ring lies outside four corners, whichever way these run. */
function runsBeyond(ring: Points2, corners: Float64Array | undefined): boolean {
  if (corners === undefined) return false;
  const way = Math.sign(signedArea(corners));
  for (let side = 0; side < 8; side += 2) {
    const [ax, ay, bx, by] = [
      corners[side],
      corners[side + 1],
      corners[(side + 2) & 7],
      corners[(side + 3) & 7],
    ];
    for (let i = 0; i < ring.length; i += 2) {
      if (way * ((bx - ax) * (ring[i + 1] - ay) - (by - ay) * (ring[i] - ax)) < 0) return true;
    }
  }
  return false;
}

function signedArea(corners: Float64Array): number {
  return polygonMoments([corners]).area;
}

/** Whether a ring's middle lies in a part of the picture. */
function liesIn(ring: Points2, { photo, x, y }: PhotoPart): boolean {
  const middle = polygonMoments([ring]);
  const [u, v] = [middle.x - x, middle.y - y];
  return u >= 0 && v >= 0 && u < photo.width && v < photo.height;
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
  const seamed = looked === undefined ? undefined : seamedBaysAlong(calm, picture);
  if (seamed !== undefined) raiseBy(errors, seamed, factor / Math.sqrt(3));
  const attached = looked === undefined ? undefined : attachedAlong(calm, picture);
  if (attached !== undefined) raiseBy(errors, attached, factor / Math.sqrt(3));
  const carded = looked === undefined ? undefined : cardAlong(calm);
  if (carded !== undefined) raiseBy(errors, carded, factor / Math.sqrt(3));
  for (const { at, error } of beyond) {
    for (let k = at - CORNER_REACH; k <= at + CORNER_REACH; k++) {
      const i = (k + errors.length) % errors.length;
      errors[i] = Math.max(errors[i], factor * error);
    }
  }
  return {
    ring: whole,
    found: Math.min(found, 1 - weak, softlyShown({ soft, softStretch })),
    odd: Math.max(odd, shareAboveZero(unsure), shareAboveZero(seamed)),
    hemmed: shareAboveZero(hem),
    hem: wide / errors.length,
    dim: Math.max(dim, shareAboveZero(shade)),
    ...(attached === undefined ? {} : { attached: shareAboveZero(attached) }),
    ...(carded === undefined ? {} : { carded: shareAboveZero(carded) }),
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
