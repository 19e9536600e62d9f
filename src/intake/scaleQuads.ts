import type { Points2 } from '../geometry/types.ts';
import type { Cv, CvMat } from './photoOpencv.ts';
import type { ReducedPixels } from './photoTypes.ts';

/** Widths of the neighbourhoods whose mean parts black from white, as shares of the picture's longer side. */
const NEIGHBOURHOODS = [1 / 100, 1 / 30, 1 / 10];
/** How much darker than its neighbourhood black is, 8-bit steps. */
const DARKER = 9;

/** What is left out before quadrilaterals are looked for. */
export interface QuadLimits {
  /** What is dark and thinner, pixels of the picture that is searched: ticks and lines that hang on to a block. */
  readonly thinnest?: number;
  /** What is less darker than its neighbourhood, 8-bit steps: the texture of a cloth beside a block. */
  readonly darker?: number;
}
/** Corners of a polygon are kept when they stand out by this share of its perimeter; long thin ones need the second. */
const POLYGON = [0.03, 0.012];

/**
 * Convex quadrilaterals round dark places, and light ones enclosed by dark: four corners (x y pairs) clockwise as seen,
 * in pixels of the whole picture, right to about one pixel of `small`. `shortest` side in pixels of `small`. The same
 * place may be found more than once.
 */
export function findQuads(
  small: ReducedPixels,
  cv: Cv,
  shortest: number,
  { thinnest = 1, darker = DARKER }: QuadLimits = {},
): Points2[] {
  const image = new cv.Mat(small.height, small.width, cv.CV_8UC4);
  const grey = new cv.Mat();
  const dark = new cv.Mat();
  const square = cv.getStructuringElement(cv.MORPH_RECT, new cv.Size(thinnest, thinnest));
  try {
    image.data.set(small.rgba);
    cv.cvtColor(image, grey, cv.COLOR_RGBA2GRAY);
    const quads: Points2[] = [];
    for (const share of NEIGHBOURHOODS) {
      const block = 2 * Math.round((share * Math.max(small.width, small.height)) / 2) + 1;
      if (block < 3) continue;
      cv.adaptiveThreshold(grey, dark, 255, cv.ADAPTIVE_THRESH_MEAN_C, cv.THRESH_BINARY_INV, block, darker);
      if (thinnest > 1) cv.morphologyEx(dark, dark, cv.MORPH_OPEN, square);
      quads.push(...quadsOfMask(dark, cv, shortest));
    }
    for (const quad of quads) {
      for (let i = 0; i < quad.length; i++) quad[i] = (quad[i] + 0.5) * small.factor - 0.5;
    }
    return quads;
  } finally {
    for (const mat of [image, grey, dark, square]) mat.delete();
  }
}

function quadsOfMask(mask: CvMat, cv: Cv, shortest: number): Points2[] {
  const contours = new cv.MatVector();
  const hierarchy = new cv.Mat();
  const polygon = new cv.Mat();
  const quads: Points2[] = [];
  try {
    cv.findContours(mask, contours, hierarchy, cv.RETR_LIST, cv.CHAIN_APPROX_NONE);
    for (let i = 0; i < contours.size(); i++) {
      const contour = contours.get(i);
      // Every point of the contour is one step of 1 or √2.
      if (contour.rows >= 4 * shortest) {
        for (const share of POLYGON) {
          cv.approxPolyDP(contour, polygon, share * contour.rows, true);
          if (polygon.rows !== 4) continue;
          if (cv.isContourConvex(polygon)) {
            const quad = clockwise(Float64Array.from(polygon.data32S));
            if (shortestSide(quad) >= shortest) quads.push(quad);
          }
          break;
        }
      }
      contour.delete();
    }
    return quads;
  } finally {
    contours.delete();
    hierarchy.delete();
    polygon.delete();
  }
}

function clockwise(q: Points2): Points2 {
  const area = (q[4] - q[0]) * (q[7] - q[3]) - (q[6] - q[2]) * (q[5] - q[1]);
  // With y down a positive area turns clockwise as seen.
  return area > 0 ? q : Float64Array.of(q[0], q[1], q[6], q[7], q[4], q[5], q[2], q[3]);
}

function shortestSide(q: Points2): number {
  return Math.min(...[0, 2, 4, 6].map((i) => Math.hypot(q[(i + 2) & 7] - q[i], q[(i + 3) & 7] - q[i + 1])));
}
