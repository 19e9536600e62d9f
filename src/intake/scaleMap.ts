import { project } from '../geometry/homography.ts';
import type { Points2 } from '../geometry/types.ts';
import type { CameraStand, PlaneMap, RadialTerm } from './photoTypes.ts';

/** What of a photograph's scale tells where things are. */
export interface SeenPlane {
  readonly map: PlaneMap;
  readonly camera?: Pick<CameraStand, 'height' | 'footX' | 'footY'>;
}

/** Rounds of the inverse of the radial term; each gains at least one decimal for |k| ≤ 0.3. */
const ROUNDS = 20;

/**
 * Image points (pixels) → plane points (mm), both 2 × n. `height` (mm) is how far over the plane the points really
 * stand; with a camera their parallax is taken out by similar triangles: a point at height h over P is seen on the
 * plane at foot + (P − foot)·Z/(Z − h). Without a camera `height` changes nothing.
 */
export function imageToPlane({ map, camera }: SeenPlane, image: Points2, height = 0): Points2 {
  const plane = straighten(map.radial, image);
  project(map.toPlane, plane);
  if (camera !== undefined && height !== 0) {
    scaleAbout(plane, camera.footX, camera.footY, (camera.height - height) / camera.height);
  }
  return plane;
}

/** Plane points (mm) at `height` over the plane → image points (pixels): the inverse of `imageToPlane`. */
export function planeToImage({ map, camera }: SeenPlane, plane: Points2, height = 0): Points2 {
  const image = Float64Array.from(plane);
  if (camera !== undefined && height !== 0) {
    scaleAbout(image, camera.footX, camera.footY, camera.height / (camera.height - height));
  }
  project(map.toImage, image);
  distort(map.radial, image);
  return image;
}

/** Pixels in one millimetre round an image point: the square root of the pixels that one mm² covers. */
export function localPxPerMm(scale: SeenPlane, x: number, y: number): number {
  const [px, py, qx, qy, rx, ry] = imageToPlane(scale, Float64Array.of(x, y, x + 1, y, x, y + 1));
  const area = Math.abs((qx - px) * (ry - py) - (rx - px) * (qy - py));
  return 1 / Math.sqrt(area);
}

/** A map that only scales: plane = (x, −y) / pxPerMm. `width`, `height` of the image set the radial term's centre. */
export function evenMap(pxPerMm: number, width: number, height: number): PlaneMap {
  const mm = 1 / pxPerMm;
  return {
    toPlane: Float64Array.of(mm, 0, 0, 0, -mm, 0, 0, 0, 1),
    toImage: Float64Array.of(pxPerMm, 0, 0, 0, -pxPerMm, 0, 0, 0, 1),
    radial: noRadial(width, height),
  };
}

/** A radial term that does nothing, about the middle of an image. */
export function noRadial(width: number, height: number): RadialTerm {
  return {
    centreX: (width - 1) / 2,
    centreY: (height - 1) / 2,
    radius: Math.hypot(width, height) / 2,
    k: 0,
  };
}

/** Takes the radial term out of image points: solves s·(1 + k·s²) = d for each point's radius, by Newton's steps. */
export function straighten({ centreX, centreY, radius, k }: RadialTerm, image: Points2): Points2 {
  const straight = Float64Array.from(image);
  if (k === 0) return straight;
  for (let i = 0; i < straight.length; i += 2) {
    const dx = straight[i] - centreX;
    const dy = straight[i + 1] - centreY;
    const d = Math.hypot(dx, dy) / radius;
    let s = d;
    for (let round = 0; round < ROUNDS; round++) {
      const step = (s * (1 + k * s * s) - d) / (1 + 3 * k * s * s);
      s -= step;
      if (Math.abs(step) < 1e-14) break;
    }
    const factor = d === 0 ? 1 : s / d;
    straight[i] = centreX + dx * factor;
    straight[i + 1] = centreY + dy * factor;
  }
  return straight;
}

/** Puts the radial term into straight image points, in place. */
export function distort({ centreX, centreY, radius, k }: RadialTerm, points: Points2): void {
  for (let i = 0; i < points.length; i += 2) {
    const dx = points[i] - centreX;
    const dy = points[i + 1] - centreY;
    const factor = 1 + (k * (dx * dx + dy * dy)) / (radius * radius);
    points[i] = centreX + dx * factor;
    points[i + 1] = centreY + dy * factor;
  }
}

function scaleAbout(points: Points2, x: number, y: number, factor: number): void {
  for (let i = 0; i < points.length; i += 2) {
    points[i] = x + (points[i] - x) * factor;
    points[i + 1] = y + (points[i + 1] - y) * factor;
  }
}
