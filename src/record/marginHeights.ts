import { ellipseWidth, polygonMoments } from '../geometry/polygonMoments.ts';
import type { PhotoScale } from '../intake/photoTypes.ts';
import { areaComponents } from '../measures/outlineError.ts';
import { swayMoves } from '../measures/swayError.ts';
import { meanEdgeOn, thickest } from '../trace/edgeOnMean.ts';
import {
  halfWayUp,
  heightsByFaces,
  type KnownThickness,
  type LyingFace,
  type MarginHeight,
  usualThickness,
} from '../trace/marginHeight.ts';
import type { TracedPhoto } from '../trace/tracePhoto.ts';
import type { EdgeOn, PhotoSettings, TraceSettings, ViewQuality } from '../trace/types.ts';
import { addEdge, addTip, alikeFaces, inView, type SeenView, traceFaceB } from './photoViews.ts';
import { settingsOfView } from './viewSettings.ts';

/** Heights of the margin in the pictures of the faces, where more is known of them than one picture by itself tells. */
export interface MarginHeights {
  readonly a?: MarginHeight;
  readonly b?: MarginHeight;
}

/**
 * What all photographs of a piece tell of how high the margin stands in those of its faces, where the camera's place is known.
 * Half of the thickness: as it was told, else as edge-on views show it, else one from the tip, else by the usual share of the
 * width; and of Face A and Face B together what their sizes say. `first` is Face A traced by itself. Throws a ViewError.
 */
export async function marginHeights(
  photo: PhotoSettings,
  first: TracedPhoto,
  scale: PhotoScale,
  seen: readonly SeenView[],
  trace: TraceSettings,
): Promise<MarginHeights> {
  const { camera } = scale;
  if (camera === undefined) return {};
  const thickness = await thicknessOf(photo, first, seen);
  const view = seen.find(({ view }) => view === 'B');
  const other = view?.scale.camera;
  if (view !== undefined && other !== undefined) {
    const faces = await inView('B', () => {
      const b = traceFaceB(view, settingsOfView(photo, 'B'), trace);
      return alikeFaces(first.model, b.model)
        ? heightsByFaces(thickness, lying(first, scale, camera), lying(b, view.scale, other))
        : undefined;
    });
    if (faces !== undefined) return faces;
  }
  const height = halfWayUp(thickness);
  return { a: height, b: height };
}

async function thicknessOf(
  photo: PhotoSettings,
  first: TracedPhoto,
  seen: readonly SeenView[],
): Promise<KnownThickness> {
  if (photo.thickness !== undefined) return { value: photo.thickness, u: 0, from: 'thickness' };
  const { midline, outline } = first.model;
  const width = Math.max(...midline.rightX.map((right, k) => right - midline.leftX[k]));
  const known = await seenThickness(photo, first, seen);
  // A silhouette wider than the plan shows something else.
  return known !== undefined && known.value < width ? known : usualThickness(ellipseWidth(outline.outer));
}

/** The thickness of the whole piece as other views show it. */
async function seenThickness(
  photo: PhotoSettings,
  first: TracedPhoto,
  seen: readonly SeenView[],
): Promise<KnownThickness | undefined> {
  const edges: EdgeOn[] = [];
  for (const side of ['left', 'right'] as const) {
    const view = seen.find((one) => one.view === side);
    if (view === undefined) continue;
    const settings = settingsOfView(photo, side);
    edges.push(
      await inView(side, () => addEdge(first, view, side, settings, photo.flipEdgeOn === true).edgeOn),
    );
  }
  if (edges.length > 0) {
    const edgeOn = edges.length === 2 ? meanEdgeOn(edges[0], edges[1]).edgeOn : edges[0];
    const { at, u } = thickest(edgeOn);
    const value = Math.max(...edgeOn.faceA) - Math.min(...edgeOn.faceB);
    const apart = edgeOn.apart?.thickness[at] ?? 0;
    return { value, u: Math.hypot(u, apart, ofPicture(value, edgeOn.quality)), from: 'edge-on' };
  }
  const tip = seen.find(({ view }) => view === 'tip');
  if (tip === undefined) return undefined;
  const { endOn } = await inView('tip', () => addTip(first.model, tip, settingsOfView(photo, 'tip')));
  const { thickness: value, aslant, quality } = endOn;
  return { value, u: Math.hypot(aslant, ofPicture(value, quality)), from: 'tip' };
}

/** What a picture leaves uncertain of an extent by its scale and its edges, mm. */
function ofPicture(extent: number, { scale, noise, tracing }: ViewQuality): number {
  return Math.hypot(extent * scale, Math.SQRT2 * noise, Math.SQRT2 * tracing);
}

/** A face as it lies in its picture: how large it is, and how well that is known but for the height of its margin. */
function lying(
  { model, marginHeight }: TracedPhoto,
  { components }: PhotoScale,
  camera: LyingFace['camera'] & { readonly relative: number },
): LyingFace {
  const { outer } = model.outline;
  const { area } = polygonMoments([outer]);
  const traced = areaComponents(model, 2 * (model.length + ellipseWidth(outer)));
  const { height, relative } = camera;
  const at = marginHeight.value;
  return {
    camera,
    size: Math.sqrt(area),
    at,
    relative: Math.hypot(
      components.corners ?? 0,
      (at * relative) / (height - at),
      Math.hypot(traced.noise ?? 0, traced.resolution ?? 0, areaOfSway(model, area)) / (2 * area),
    ),
  };
}

/** What the winding and the lean of a margin seen aslant are worth of the area, mm². */
function areaOfSway({ outline: { outer }, sway }: TracedPhoto['model'], area: number): number {
  if (sway === undefined) return 0;
  let squares = 0;
  for (const move of swayMoves(sway)) {
    squares += (polygonMoments([outer.map((v, i) => v + move[i])]).area - area) ** 2;
  }
  return Math.sqrt(squares);
}
