import type { Basis } from '../geometry/basis.ts';
import { toBasis, turned as turnedBasis } from '../geometry/basis.ts';
import { ellipseWidth, polygonMoments } from '../geometry/polygonMoments.ts';
import type { Hooks, Points2, Warning } from '../geometry/types.ts';
import type { Cv } from '../intake/photoOpencv.ts';
import type { CameraStand, Photo, PhotoScale } from '../intake/photoTypes.ts';
import { isMade } from '../intake/scaleBar.ts';
import { parallaxRelative } from '../intake/scaleCamera.ts';
import { imageToPlane, localPxPerMm, planeToImage } from '../intake/scaleMap.ts';
import { GAP, matLayout } from '../intake/scaleMatLayout.ts';
import { halfWayUp, type MarginHeight, NO_HEIGHT, usualThickness } from './marginHeight.ts';
import { correctPiece, type DrawnSteps, drawnShare } from './photoCorrections.ts';
import { type PhotoPiece, piecesOfPhoto } from './photoPieces.ts';
import type { KnownPlaces } from './photoSegment.ts';
import { doubtsOf, leaning } from './photoWarnings.ts';
import { choosePlanAxis, layPlan, nudged } from './planFrame.ts';
import {
  type Frame,
  type Model,
  type PhotoSettings,
  TraceError,
  type TraceSettings,
  type ViewQuality,
} from './types.ts';

/** How far it winds and leans about that, standard deviation as a share of the thickness (practice). */
const WINDING = 0.1;
/** An outline of which less shows an edge is not a piece's. */
const LEAST_FOUND = 0.75;
/** Fewer pixels along a piece than this can't be measured. */
const LEAST_LENGTH = 60;
/** The rim of a mat's clear field that is left out, mm: its print may bleed. */
const FIELD_RIM = 1;

/** The outline of one piece in a photograph, laid in its frame, and what it was found by. */
export interface TracedPhoto {
  readonly model: Model;
  readonly piece: PhotoPiece;
  /** All that stands off the backdrop, likeliest first; `piece` is one of them. */
  readonly candidates: readonly PhotoPiece[];
  /** Height of the margin over the plane of the scale. */
  readonly marginHeight: MarginHeight;
  /** Where the tip points in the picture, x right and y down, a unit vector. */
  readonly tipward: readonly [x: number, y: number];
}

/** What lies in the picture besides pieces, by the scale that was found. */
export function knownPlaces(scale: PhotoScale): KnownPlaces {
  const { evidence } = scale;
  if (evidence.kind === 'bar') return { bar: evidence.ends };
  if (evidence.kind !== 'mat') return {};
  const { left, right, bottom, top } = matLayout(evidence.paper).field;
  const widened = (by: number): Points2 => {
    const corners = [
      left - by,
      bottom - by,
      right + by,
      bottom - by,
      right + by,
      top + by,
      left - by,
      top + by,
    ];
    return planeToImage(
      scale,
      Float64Array.from(corners, (v) => v * evidence.printed),
    );
  };
  return { field: widened(-FIELD_RIM), bare: widened(GAP) };
}

/** How else a face is looked at. */
export interface TraceHints {
  /** Shows Face B as it would be seen through the piece. */
  readonly mirrored?: boolean;
  /** Of the margin over the plane, where more is known of it than this picture tells. */
  readonly height?: MarginHeight;
}

/**
 * Photograph with its scale → Model of one piece: outline, midline, length axis; no surface and no margin heights. The
 * photographed side is Face A. Throws a TraceError where no piece is to be seen.
 */
export function tracePhoto(
  candidates: readonly PhotoPiece[],
  scale: PhotoScale,
  photoSettings: PhotoSettings,
  settings: TraceSettings,
  { mirrored = false, height }: TraceHints = {},
): TracedPhoto {
  const piece = chosenPiece(candidates, photoSettings.piece);
  const warnings: Warning[] = [];
  const pieces = candidates.filter(({ kind }) => kind === 'piece').length;
  if (pieces > 1) {
    warnings.push({
      code: 'several-pieces',
      text: `The picture shows ${pieces} things that may be pieces; number ${photoSettings.piece} was measured.`,
    });
  }
  if (piece.kind === 'piece' && candidates.some(({ kind, area }) => kind === 'cut' && area > piece.area)) {
    warnings.push({
      code: 'larger-cut',
      text: 'Something larger than what was measured runs out of the picture: if that is the piece, take it whole, with backdrop all round it.',
    });
  }
  warnings.push(...doubtsOf(piece), ...barDoubts(candidates, scale));
  const drawn = drawnShare(piece);
  const mmPerPx = 1 / localPxPerMm(scale, ...middleOf(piece.ring));
  if (drawn.share > 0) {
    const percent = drawn.share < 0.01 ? 'Less than 1' : Math.round(100 * drawn.share);
    warnings.push({
      code: 'outline-by-hand',
      text: `${percent} % of the outline was drawn by hand, to within ${(drawn.hand * mmPerPx).toFixed(2)} mm (one standard uncertainty).`,
    });
  }
  const marginHeight = height ?? heightOfMargin(piece, scale, photoSettings);
  const seen = planeRing(piece.ring, scale, marginHeight.value);
  const ring = mirrored ? reversed(seen.map((v, i) => (i % 2 === 0 ? -v : v))) : seen;
  const choice = nudged(
    choosePlanAxis([ring], settings, ([x, y]) => [x, y]),
    settings,
  );
  const { outline, midline, length, base, axes } = layPlan([ring], choice, settings.stations);
  if (length < LEAST_LENGTH * mmPerPx) {
    throw new TraceError(
      'piece-small',
      'The piece is too small in the picture: it must be at least 60 pixels long.',
    );
  }
  const upright: Basis = { x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };
  const matrix = toBasis(turnedBasis(upright, choice.line.angle), [choice.line.offset, base, 0]);
  const frame: Frame = {
    matrix,
    rigid: matrix,
    axis: settings.axis,
    faceA: 'photographed',
    tip: settings.axis === 'tip-base' ? 'placed' : settings.flipTip ? 'flipped' : 'less-area',
    axes,
  };
  const { camera } = scale;
  const parallax = camera === undefined ? 0 : parallaxRelative(camera, marginHeight.value, marginHeight.u);
  const tracing = leaning(piece) * mmPerPx;
  const turned = runsClockwise(imageToPlane(scale, piece.ring, marginHeight.value)) !== mirrored;
  const along = (values: Float64Array): Float64Array => {
    const laid = values.map((px) => px * mmPerPx);
    return turned ? laid.reverse() : laid;
  };
  const model: Model = {
    frame,
    outline: { ...outline, ...(piece.errors === undefined ? {} : { errors: along(piece.errors) }) },
    midline,
    length,
    quality: { meanEdge: mmPerPx, noise: piece.error * mmPerPx, ...(tracing > 0 ? { tracing } : {}) },
    ...(camera === undefined ? {} : { sway: swayOf(outline.outer, frame, camera, marginHeight, mirrored) }),
    ...(piece.hand !== undefined && drawn.share > 0 ? { drawn: along(piece.hand) } : {}),
    scaleUncertainty: Math.hypot(scale.relative, parallax),
    warnings: [...warnings, ...choice.warnings],
  };
  return { model, piece, candidates, marginHeight, tipward: tipwardOf(frame, length, scale, mirrored) };
}

/** Scale bars in the picture that speak against its scale: their blocks would be of a length that bars are not made with. */
function barDoubts(candidates: readonly PhotoPiece[], scale: PhotoScale): Warning[] {
  return candidates.flatMap(({ block, ring }): Warning[] => {
    if (block === undefined) return [];
    const length = block / localPxPerMm(scale, ...middleOf(ring));
    if (isMade(length)) return [];
    return [
      {
        code: 'scale-contradicted',
        text: `The picture shows a scale bar whose blocks would be ${length.toPrecision(3)} mm long by this scale, which bars are not made with: one of the two is wrong, or the bar lies higher or lower than the scale.`,
      },
    ];
  });
}

/** One piece and its silhouette in the plane, mm, counter-clockwise, for a rim `height` mm over it. */
export function silhouetteOf(
  candidates: readonly PhotoPiece[],
  scale: PhotoScale,
  number: number,
  height: number,
): { readonly piece: PhotoPiece; readonly ring: Points2 } {
  const piece = chosenPiece(candidates, number);
  return { piece, ring: planeRing(piece.ring, scale, height) };
}

/** The candidates with the corrections by hand drawn into the one that is measured; throws as `tracePhoto` and `correctPiece` do. */
export function withCorrections(
  candidates: readonly PhotoPiece[],
  { piece: number, corrections = [] }: PhotoSettings,
  photo: Photo,
  drawn?: DrawnSteps,
): readonly PhotoPiece[] {
  if (corrections.length === 0) return candidates;
  const piece = chosenPiece(candidates, number);
  return candidates.map((other) =>
    other === piece ? correctPiece(piece, corrections, photo, drawn) : other,
  );
}

/** Finds all that may be a piece. Separate from `tracePhoto`, because other settings do not change it. */
export function candidatesOf(photo: Photo, scale: PhotoScale, cv: Cv, hooks: Hooks = {}): PhotoPiece[] {
  return piecesOfPhoto(photo, knownPlaces(scale), cv, hooks);
}

export function chosenPiece(candidates: readonly PhotoPiece[], number: number): PhotoPiece {
  // What a person has drawn shows no edge of its own and needs none.
  const whole = candidates.filter(
    ({ kind, found, hand }) => kind === 'piece' && (found >= LEAST_FOUND || hand !== undefined),
  );
  const unclear = candidates.filter(
    ({ kind, found, hand }) => kind === 'piece' && found < LEAST_FOUND && hand === undefined,
  );
  // What is greater and unclear may well be the piece: what is clear beside it is not measured in its stead.
  if (number === 1 && whole.length > 0 && unclear.every(({ area }) => area <= whole[0].area)) return whole[0];
  const piece = candidates[number - 1];
  if (piece !== undefined && number > 1) return piece;
  if (number > 1) {
    throw new TraceError(
      'no-such-piece',
      `The picture shows ${candidates.length} pieces: there is no number ${number}.`,
    );
  }
  const shows = (sought: PhotoPiece['kind']): boolean => candidates.some(({ kind }) => kind === sought);
  if (shows('piece')) {
    throw new TraceError(
      'no-piece',
      'No piece was found in the picture: what stands off its backdrop shows too little of a clear edge. Take it in focus, on a plain backdrop that is lighter, darker or of another colour than the stone.',
    );
  }
  throw new TraceError(
    'no-piece',
    shows('cut')
      ? 'No whole piece was found in the picture: what stands off the backdrop runs out of it, or over the print of the mat. Leave backdrop all round the piece.'
      : 'No piece was found in the picture: none stands clearly off its backdrop. Use a plain backdrop that is lighter, darker or of another colour than the stone.',
  );
}

/** Ring in the plane at the margin's height, mm, counter-clockwise. */
export function planeRing(ring: Points2, scale: PhotoScale, height: number): Points2 {
  const plane = imageToPlane(scale, ring, height);
  return runsClockwise(plane) ? reversed(plane) : plane;
}

function runsClockwise(ring: Points2): boolean {
  return polygonMoments([ring]).area <= 0;
}

function reversed(ring: Points2): Points2 {
  const out = new Float64Array(ring.length);
  for (let i = 0, from = ring.length - 2; from >= 0; i += 2, from -= 2) {
    out[i] = ring[from];
    out[i + 1] = ring[from + 1];
  }
  return out;
}

/** Half the thickness, told or by the usual share of the width; needed only where the camera's height is known. */
function heightOfMargin(piece: PhotoPiece, scale: PhotoScale, { thickness }: PhotoSettings): MarginHeight {
  if (scale.camera === undefined) return NO_HEIGHT;
  if (thickness !== undefined) return halfWayUp({ value: thickness, u: 0, from: 'thickness' });
  return halfWayUp(usualThickness(ellipseWidth(planeRing(piece.ring, scale, 0))));
}

/** Where the tip points in the picture. */
function tipwardOf(
  { matrix: m }: Frame,
  length: number,
  scale: PhotoScale,
  mirrored: boolean,
): readonly [x: number, y: number] {
  const ends = [0, length].flatMap((y) => {
    const [dx, dy] = [-m[12], y - m[13]];
    const across = m[0] * dx + m[1] * dy;
    return [mirrored ? -across : across, m[4] * dx + m[5] * dy];
  });
  const [x0, y0, x1, y1] = planeToImage(scale, Float64Array.from(ends));
  const reach = Math.hypot(x1 - x0, y1 - y0);
  return [(x1 - x0) / reach, (y1 - y0) / reach];
}

/**
 * How far points of an outline in the specimen frame would seem to move, away from the foot of the camera, if the margin
 * stood higher there by what it winds and leans. x y pairs, mm.
 */
function swayOf(
  outer: Points2,
  { matrix: m }: Frame,
  { height, footX, footY }: CameraStand,
  marginHeight: { readonly value: number },
  mirrored: boolean,
): Points2 {
  const across = mirrored ? -footX : footX;
  const foot = [m[0] * across + m[4] * footY + m[12], m[1] * across + m[5] * footY + m[13]];
  const risen = WINDING * 2 * marginHeight.value;
  const aslant = risen / (height - marginHeight.value);
  return outer.map((v, i) => aslant * (v - foot[i & 1]));
}

/**
 * How well a silhouette is known that stands `height` ± `u` mm over the plane of the scale: where the camera's place is known
 * parallax is taken out, and what is left of it is the scale's.
 */
export function qualityOf(
  piece: PhotoPiece,
  { camera, relative, ...scale }: PhotoScale,
  height: number,
  u: number,
): ViewQuality {
  const pixel = 1 / localPxPerMm(scale, ...middleOf(piece.ring));
  const parallax = camera === undefined ? 0 : parallaxRelative(camera, height, u);
  return {
    pixel,
    noise: piece.error * pixel,
    tracing: leaning(piece) * pixel,
    scale: Math.hypot(relative, parallax),
  };
}

function middleOf(ring: Points2): [number, number] {
  const { x, y } = polygonMoments([ring]);
  return [x, y];
}
