import { polygonMoments } from '../geometry/polygonMoments.ts';
import type { Cv } from '../intake/photoOpencv.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { edgeAlong, type Light } from '../intake/scaleLight.ts';
import { type FineBoundary, refineBoundary } from './photoBoundary.ts';
import type { EdgeReader } from './photoEdge.ts';

/** Smaller solid places are specks, not pieces: share of the greatest one's area. */
const SPECK = 0.02;
/** A contour of the half-solid pixels runs through their centres: up to this far from the edge, pixels. */
const CONTOUR_ERROR = 1;
/** Least contrast of an edge in the alpha channel. */
const HALF = 0.5;

/**
 * The solid places of a picture whose alpha channel is a mask, greatest first, with boundaries to a fraction of a
 * pixel: alpha is read as the share of a pixel that the piece covers. Holes are not kept. Empty when nothing is solid.
 */
export function piecesOfAlpha(pixels: Pixels, cv: Cv): FineBoundary[] {
  const { width, height, rgba } = pixels;
  const solid = new cv.Mat(height, width, cv.CV_8UC1);
  const contours = new cv.MatVector();
  const hierarchy = new cv.Mat();
  const rings: { readonly ring: Float64Array; readonly area: number }[] = [];
  try {
    const { data } = solid;
    for (let i = 0; i < data.length; i++) data[i] = rgba[4 * i + 3] > 127 ? 255 : 0;
    cv.findContours(solid, contours, hierarchy, cv.RETR_EXTERNAL, cv.CHAIN_APPROX_NONE);
    for (let i = 0; i < contours.size(); i++) {
      const contour = contours.get(i);
      // Fewer points enclose nothing.
      if (contour.rows >= 8) {
        const ring = Float64Array.from(contour.data32S);
        rings.push({ ring, area: Math.abs(polygonMoments([ring]).area) });
      }
      contour.delete();
    }
  } finally {
    for (const mat of [solid, contours, hierarchy]) mat.delete();
  }
  rings.sort((a, b) => b.area - a.area);
  const cover = coverOf(pixels);
  const at: EdgeReader['at'] = (x, y, dx, dy, reach) => edgeAlong(cover, x, y, dx, dy, reach, HALF)?.at;
  const edges: EdgeReader = {
    at,
    along(ring, normals, reach, every) {
      const found = new Float64Array(ring.length / 2).fill(NaN);
      for (let i = 0; i < found.length; i += every) {
        found[i] = at(ring[2 * i], ring[2 * i + 1], normals[2 * i], normals[2 * i + 1], reach) ?? NaN;
      }
      return found;
    },
  };
  return rings
    .filter(({ area }) => area >= SPECK * rings[0].area)
    .map(({ ring }) => refineBoundary(edges, ring, { error: CONTOUR_ERROR }));
}

/** Alpha 0…1 between pixel centres, bilinear; nothing is solid beyond the picture. */
function coverOf({ width, height, rgba }: Pixels): Light {
  const at = (i: number, j: number): number =>
    i < 0 || j < 0 || i >= width || j >= height ? 0 : rgba[4 * (j * width + i) + 3] / 255;
  return (x, y) => {
    const [i, j] = [Math.floor(x), Math.floor(y)];
    const [fx, fy] = [x - i, y - j];
    return (
      (at(i, j) * (1 - fx) + at(i + 1, j) * fx) * (1 - fy) +
      (at(i, j + 1) * (1 - fx) + at(i + 1, j + 1) * fx) * fy
    );
  };
}
