import { majorAxis, polygonMoments } from '../geometry/polygonMoments.ts';
import type { Points2, Warning } from '../geometry/types.ts';
import type { Photo, PhotoScale, Pixels } from '../intake/photoTypes.ts';
import { imageToPlane, localPxPerMm } from '../intake/scaleMap.ts';
import { IntakeError } from '../intake/types.ts';
import type { CameraOver } from '../trace/aslant.ts';
import { edgeOnAxis, layEdgeLine, traceEdgeOn } from '../trace/edgeOn.ts';
import { meanEdgeOn } from '../trace/edgeOnMean.ts';
import { traceEndOn } from '../trace/endOn.ts';
import { layOutline } from '../trace/faceRepeat.ts';
import { wireThrough } from '../trace/liveWire.ts';
import type { MarginHeight } from '../trace/marginHeight.ts';
import type { PhotoPiece } from '../trace/photoPieces.ts';
import { drawnOut } from '../trace/photoSpurs.ts';
import { DEFAULT_TRACE_SETTINGS } from '../trace/settings.ts';
import {
  chosenPiece,
  planeRing,
  qualityOf,
  silhouetteOf,
  type TracedPhoto,
  tracePhoto,
} from '../trace/tracePhoto.ts';
import {
  type EdgeLine,
  type EdgeOn,
  type EndOn,
  type PhotoSettings,
  TraceError,
  type TraceSettings,
  VIEWS,
  type ViewName,
} from '../trace/types.ts';
import type { PhotoView } from './schema.ts';
import type { FileFacts } from './toRecord.ts';
import { drawnInView, shortLine, sizesDiffer, thickerThanWide, thicknessesDiffer } from './viewDoubts.ts';
import { ViewError } from './viewError.ts';
import { settingsOfView, toldOfView } from './viewSettings.ts';

/** One photograph looked at: its file, pixels, scale, and what stands off its backdrop. */
export interface SeenPhoto {
  readonly file: FileFacts;
  readonly photo: Photo;
  readonly scale: PhotoScale;
  readonly candidates: readonly PhotoPiece[];
  /** The winding edge as it was traced through what was clicked, x y pairs, pixels. */
  readonly wire?: Points2;
}

export interface SeenView extends SeenPhoto {
  readonly view: ViewName;
}

/** Where the piece lies in a further photograph: what a page draws on it. */
export interface ViewPlace {
  readonly view: ViewName;
  readonly piece: PhotoPiece;
  /** From below the base to above the tip, x y pairs on the plane of the scale, mm, `height` over it. */
  readonly axis: Points2;
  readonly height: number;
  readonly wire?: Points2;
  /** Of Face B, where its outline is that of Face A: what was traced, as seen through the piece. */
  readonly face?: TracedPhoto;
}

export interface WithViews {
  readonly traced: TracedPhoto;
  readonly kept: readonly PhotoView[];
  readonly places: readonly ViewPlace[];
  readonly warnings: readonly Warning[];
}

/** Two outlines of one piece that lie farther apart than this share of its length may not be of one piece. */
const ALIKE = 0.01;
/** How high the outline of a silhouette stands of its width edge-on, and of its length from the tip: half, ± these shares (practice). */
const [HALF_WIDTH_U, HALF_LENGTH_U] = [0.1, 0.15];
/** How far the length axis is drawn past both ends, share of the length. */
export const PAST = 0.06;

/** The winding edge traced through what was clicked in one view; undefined where nothing was, or the view shows no edge. */
export function wireOf(
  pixels: Pixels,
  candidates: readonly PhotoPiece[],
  photo: PhotoSettings,
  view: ViewName,
): Points2 | undefined {
  const { edge, piece = 1 } = toldOfView(photo, view);
  if (edge === undefined || view === 'B' || view === 'tip') return undefined;
  return wireThrough(pixels, edge, chosenPiece(candidates, piece).ring);
}

/** A fault in a further photograph says which one it is in. */
export async function inView<T>(view: ViewName, see: () => T | Promise<T>): Promise<T> {
  try {
    return await see();
  } catch (error) {
    if (error instanceof ViewError) throw error;
    if (error instanceof IntakeError || error instanceof TraceError) {
      throw new ViewError(view, error.code, error.message);
    }
    throw error;
  }
}

/**
 * Adds what further photographs tell to what was traced of Face A, in a fixed order. `heightOfB` is that of the margin in the
 * picture of Face B, where it is known. Throws a ViewError.
 */
export async function addViews(
  face: TracedPhoto,
  seen: readonly SeenView[],
  photo: PhotoSettings,
  trace: TraceSettings,
  heightOfB?: MarginHeight,
): Promise<WithViews> {
  let traced = face;
  const warnings: Warning[] = [];
  const kept: PhotoView[] = [];
  const places: ViewPlace[] = [];
  const edges: EdgeOn[] = [];
  const lines: { left?: EdgeLine; right?: EdgeLine } = {};
  for (const name of VIEWS) {
    const view = seen.find((one) => one.view === name);
    if (view === undefined) continue;
    const { method, pxPerMm, relative } = view.scale;
    const facts = { ...view.file, view: name, method, pxPerMm, u: relative };
    const settings = settingsOfView(photo, name);
    if (name === 'B') {
      const other = await inView(name, () => addFaceB(traced.model, view, settings, trace, heightOfB));
      const { quality: before } = traced.model;
      const quality = { ...before, tracing: Math.max(before.tracing ?? 0, other.difference / Math.SQRT2) };
      traced = { ...traced, model: { ...traced.model, quality } };
      const { value, u } = other.height;
      kept.push({ ...facts, difference: other.difference, ...(u > 0 ? { height: { value, u } } : {}) });
      places.push(other.place);
      warnings.push(...drawnInView(name, other.place.piece), ...other.warnings);
    } else if (name === 'tip') {
      const other = await inView(name, () => addTip(traced.model, view, settings));
      traced = { ...traced, model: { ...traced.model, endOn: other.endOn } };
      kept.push({ ...facts, ...other.stand });
      places.push(other.place);
      warnings.push(...drawnInView(name, other.place.piece), ...other.warnings);
    } else {
      const flip = photo.flipEdgeOn === true;
      const other = await inView(name, () => addEdge(traced, view, name, settings, flip));
      edges.push(other.edgeOn);
      if (other.line !== undefined) lines[name] = other.line;
      kept.push({ ...facts, ...other.stand });
      places.push(other.place);
      warnings.push(...drawnInView(name, other.place.piece), ...other.warnings);
    }
  }
  if (edges.length === 0) {
    return { traced, kept, places, warnings: [...warnings, ...thickerThanWide(traced.model)] };
  }
  const both = edges.length === 2 ? meanEdgeOn(edges[0], edges[1]) : { edgeOn: edges[0], warnings: [] };
  const edgeLines = Object.keys(lines).length === 0 ? {} : { edgeLines: lines };
  traced = { ...traced, model: { ...traced.model, edgeOn: both.edgeOn, ...edgeLines } };
  return {
    traced,
    kept,
    places,
    warnings: [
      ...warnings,
      ...both.warnings,
      ...thicknessesDiffer(traced.model),
      ...thickerThanWide(traced.model),
    ],
  };
}

/** What a view from the tip shows. */
export function addTip(
  { outline, midline, length }: TracedPhoto['model'],
  { scale, candidates }: SeenView,
  settings: PhotoSettings,
): { endOn: EndOn; stand: Stand; place: ViewPlace; warnings: readonly Warning[] } {
  // The silhouette stands where the piece is widest: about half its length over what its base stands on.
  const height = length / 2;
  const { piece, ring } = silhouetteOf(candidates, scale, settings.piece, height);
  const width = Math.max(...midline.rightX.map((right, k) => right - midline.leftX[k]));
  const quality = qualityOf(piece, scale, height, HALF_LENGTH_U * length);
  const plan = { outer: outline.outer, length, width };
  const { endOn, axis, slant, warnings } = traceEndOn(ring, plan, PAST, quality, cameraOver(scale, height));
  const stand = standOver(scale, height, HALF_LENGTH_U * length, slant);
  return { endOn, stand, place: { view: 'tip', piece, axis, height }, warnings };
}

interface AddedFace {
  readonly difference: number;
  readonly height: MarginHeight;
  readonly place: ViewPlace;
  readonly warnings: readonly Warning[];
}

/**
 * Face B as seen through the piece, laid on Face A: its axis, tip and base are those of Face A, by way of the outlines.
 * What was placed by hand are places of the picture of Face A, and mean nothing in this one.
 */
function addFaceB(
  { outline, length, scaleUncertainty }: TracedPhoto['model'],
  view: SeenView,
  settings: PhotoSettings,
  trace: TraceSettings,
  height: MarginHeight | undefined,
): AddedFace {
  const own = traceFaceB(view, settings, trace, height);
  const laid = layOutline(outline.outer, own.model.outline.outer, length);
  if (laid.rms > ALIKE * length) {
    const warning = {
      code: 'faces-differ',
      text: `The outlines of Face A and Face B lie ${laid.rms.toFixed(2)} mm apart: check that both photographs show one piece at the right scale.`,
    } as const;
    return {
      difference: laid.rms,
      height: own.marginHeight,
      place: placeOfFaceB(own),
      warnings: [warning],
    };
  }
  const [base, tip] = [0, length].map((y): [number, number, number] => {
    // From the frame of Face A to that which the face has by itself, and on to the plane of its picture.
    const [dx, dy] = [-laid.shift[0], y - laid.shift[1]];
    const [c, s] = [Math.cos(laid.turn), Math.sin(laid.turn)];
    return [...toPlane(own.model, c * dx + s * dy, -s * dx + c * dy), 0];
  });
  const face = traceFaceB(view, settings, trace, height, { base, tip });
  const warnings = sizesDiffer(outline.outer, own.model.outline.outer, [
    scaleUncertainty,
    own.model.scaleUncertainty,
  ]);
  const place = { ...placeOfFaceB(face), face };
  return { difference: laid.rms, height: face.marginHeight, place, warnings };
}

/** Face B as it would be seen through the piece, on an axis that it has by itself or between placed `ends`. */
export function traceFaceB(
  { scale, candidates }: SeenView,
  settings: PhotoSettings,
  { stations }: TraceSettings,
  height?: MarginHeight,
  ends?: Pick<TraceSettings, 'base' | 'tip'>,
): TracedPhoto {
  const alone: TraceSettings = { ...DEFAULT_TRACE_SETTINGS, stations };
  const placed: TraceSettings = ends === undefined ? alone : { ...alone, axis: 'tip-base', ...ends };
  return tracePhoto(candidates, scale, settings, placed, { mirrored: true, ...(height && { height }) });
}

/** Whether two outlines, each in its own frame, lie on each other as those of one piece do. */
export function alikeFaces(a: TracedPhoto['model'], b: TracedPhoto['model']): boolean {
  return layOutline(a.outline.outer, b.outline.outer, a.length).rms <= ALIKE * a.length;
}

/** Specimen frame → plane of the scale, mm. */
function toPlane({ frame: { matrix: m } }: TracedPhoto['model'], x: number, y: number): [number, number] {
  const [dx, dy] = [x - m[12], y - m[13]];
  return [m[0] * dx + m[1] * dy, m[4] * dx + m[5] * dy];
}

function placeOfFaceB({ model, piece, marginHeight }: TracedPhoto): ViewPlace {
  const ends = [-PAST, 1 + PAST].flatMap((share) => {
    const [x, y] = toPlane(model, 0, share * model.length);
    // Face B was traced as seen through the piece.
    return [-x, y];
  });
  return { view: 'B', piece, axis: Float64Array.from(ends), height: marginHeight.value };
}

/** How a piece stood in a picture over a mat, as records keep it; nothing where the camera's place is not known. */
type Stand = Pick<PhotoView, 'height' | 'slant'>;

function standOver({ camera }: PhotoScale, value: number, u: number, slant: number): Stand {
  return camera === undefined
    ? {}
    : { height: { value, u }, slant: (Math.atan(Math.abs(slant)) * 180) / Math.PI };
}

interface AddedEdge {
  readonly edgeOn: EdgeOn;
  readonly stand: Stand;
  readonly line: EdgeLine | undefined;
  readonly place: ViewPlace;
  readonly warnings: readonly Warning[];
}

/** What a view edge-on shows. */
export function addEdge(
  { model: { outline, midline, length }, tipward }: TracedPhoto,
  { photo, scale, candidates, wire }: SeenView,
  view: 'left' | 'right',
  settings: PhotoSettings,
  flip: boolean,
): AddedEdge {
  // Edge-on the silhouette stands half a width over the plane.
  const height = (Math.max(...midline.rightX) - Math.min(...midline.leftX)) / 2;
  const { piece, ring } = silhouetteOf(candidates, scale, settings.piece, height);
  const camera = cameraOver(scale, height);
  const plan = { outer: outline.outer, midline, length };
  const hints = {
    flip,
    ...(camera === undefined ? {} : { camera }),
    tipward: inPlane(tipward, piece.ring, scale),
    quality: qualityOf(piece, scale, height, 2 * HALF_WIDTH_U * height),
  };
  const plain = traceEdgeOn(ring, view, plan, hints);
  // A thin tip that the outline leaves out is told by the plan: with it the silhouette is as long as that.
  const longer = piece.hand === undefined ? drawnOut(piece.ring, longAxis(piece.ring), photo) : undefined;
  const out = longer === undefined ? plain : traceEdgeOn(planeRing(longer, scale, height), view, plan, hints);
  const { edgeOn, frame, warnings } = out.edgeOn.station < plain.edgeOn.station ? out : plain;
  const place = { view, piece, axis: edgeOnAxis(frame, PAST), height };
  const stand = standOver(scale, height, 2 * HALF_WIDTH_U * height, edgeOn.slant);
  if (wire === undefined) return { edgeOn, stand, line: undefined, place, warnings };
  // The edge that faces the camera stands a whole width over the plane.
  const onPlane = imageToPlane(scale, wire, 2 * height);
  const margin = view === 'left' ? midline.leftX : midline.rightX;
  const last = midline.y.length - 1;
  const xAt = (y: number): number => margin[Math.min(last, Math.max(0, Math.round((y / length) * last)))];
  const points = layEdgeLine(onPlane, frame, length, xAt);
  const pixel = 1 / localPxPerMm(scale, wire[0], wire[1]);
  const line = points === undefined ? undefined : { points, pixel };
  return {
    edgeOn,
    stand,
    line,
    place: { ...place, wire },
    warnings: [...warnings, ...shortLine(view, points, length)],
  };
}

/** The camera over the plane in which a silhouette stands, where its place is known. */
function cameraOver({ camera }: PhotoScale, height: number): CameraOver | undefined {
  return camera && { x: camera.footX, y: camera.footY, height: camera.height - height };
}

/** The direction of a ring's longer axis, a unit vector. */
function longAxis(ring: Points2): [x: number, y: number] {
  const { angle } = majorAxis(polygonMoments([ring]));
  return [-Math.sin(angle), Math.cos(angle)];
}

/** A direction of a picture in the plane of its scale, by what it is where a ring lies. */
function inPlane(
  [dx, dy]: readonly [x: number, y: number],
  ring: Points2,
  scale: PhotoScale,
): [x: number, y: number] {
  const [x, y] = [ring[0], ring[1]];
  const [x0, y0, x1, y1] = imageToPlane(scale, Float64Array.of(x, y, x + 10 * dx, y + 10 * dy));
  const reach = Math.hypot(x1 - x0, y1 - y0);
  return [(x1 - x0) / reach, (y1 - y0) / reach];
}
