import { polygonMoments } from '../geometry/polygonMoments.ts';
import type { Points2, Points3, Warning } from '../geometry/types.ts';
import { drawnShare } from '../trace/photoCorrections.ts';
import type { PhotoPiece } from '../trace/photoPieces.ts';
import type { TracedPhoto } from '../trace/tracePhoto.ts';
import type { EdgeOn, ViewName } from '../trace/types.ts';

/** Sizes of two outlines of one form may differ by this share before it is told. */
const ALIKE_SIZE = 0.01;
/** Thicknesses of two views may differ by this share before it is told. */
const ALIKE_THICK = 0.05;
/** Share of a side that a clicked edge is to cover. */
const WELL_CLICKED = 0.9;

/** Corrections by hand in a further photograph are told; no component of uncertainty counts them. */
export function drawnInView(view: ViewName, piece: PhotoPiece): Warning[] {
  const { share } = drawnShare(piece);
  if (share === 0) return [];
  const percent = share < 0.01 ? 'Less than 1' : Math.round(100 * share);
  return [
    {
      code: 'outline-by-hand',
      text: `View ${view}: ${percent} % of its outline was drawn by hand; the uncertainties do not count it.`,
    },
  ];
}

/** A piece that is thicker than wide was shown edge-on as its face, and edge-on from its face. */
export function thickerThanWide({ edgeOn, endOn, midline }: TracedPhoto['model']): Warning[] {
  const width = Math.max(...midline.rightX.map((right, k) => right - midline.leftX[k]));
  const thick = edgeOn === undefined ? (endOn?.thickness ?? 0) : boxOf(edgeOn);
  if (thick <= width) return [];
  return [
    {
      code: 'views-differ',
      text: `By these views the piece is thicker (${thick.toFixed(1)} mm) than wide (${width.toFixed(1)} mm): check whether pictures of a face and of an edge have changed places.`,
    },
  ];
}

/** The whole extent across, edge-on. */
function boxOf({ faceA, faceB }: EdgeOn): number {
  return Math.max(...faceA) - Math.min(...faceB);
}

/** Edge-on and from the tip the whole piece is as thick. */
export function thicknessesDiffer({ edgeOn, endOn }: TracedPhoto['model']): Warning[] {
  if (edgeOn === undefined || endOn === undefined) return [];
  const box = boxOf(edgeOn);
  if (Math.abs(endOn.thickness / box - 1) <= ALIKE_THICK) return [];
  return [
    {
      code: 'views-differ',
      text: `Seen edge-on the piece is ${box.toFixed(1)} mm thick as a whole, from the tip ${endOn.thickness.toFixed(1)} mm: check the scale of both pictures, and that the tip pointed at the camera.`,
    },
  ];
}

/** Outlines of the same form but not of the same size: beyond what the scales (`us`, relative) are not known to. */
export function sizesDiffer(a: Points2, b: Points2, us: readonly [number, number]): Warning[] {
  const larger = Math.sqrt(polygonMoments([b]).area / polygonMoments([a]).area) - 1;
  if (Math.abs(larger) <= Math.max(ALIKE_SIZE, 2 * Math.hypot(...us))) return [];
  const percent = Math.abs(100 * larger).toFixed(1);
  return [
    {
      code: 'faces-differ',
      text: `Face B is ${percent} % ${larger > 0 ? 'larger' : 'smaller'} than Face A, and of the same form: check the scale of both pictures.`,
    },
  ];
}

/** A line that was clicked along a part of the side tells of that part alone. */
export function shortLine(view: ViewName, points: Points3 | undefined, length: number): Warning[] {
  const [from, to] = [0.05 * length, 0.95 * length];
  let [low, high] = [Infinity, -Infinity];
  for (let i = 1; points !== undefined && i < points.length; i += 3) {
    low = Math.min(low, points[i]);
    high = Math.max(high, points[i]);
  }
  const share = Math.max(0, Math.min(high, to) - Math.max(low, from)) / (to - from);
  if (share >= WELL_CLICKED) return [];
  return [
    {
      code: 'edge-line-short',
      text: `The edge clicked in the view from the ${view} covers ${Math.round(100 * share)} % of stations 5 to 95: its measures tell of that part alone.`,
    },
  ];
}
