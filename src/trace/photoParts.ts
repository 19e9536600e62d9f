import { maskInside } from '../geometry/polygonMask.ts';
import { polygonMoments } from '../geometry/polygonMoments.ts';
import { greatestContour } from '../geometry/rasterContour.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Cv } from '../intake/photoOpencv.ts';
import type { ReducedPixels } from '../intake/photoTypes.ts';
import type { Region } from './photoRegion.ts';
import type { CoarsePieces } from './photoSegment.ts';

/** Smaller things are specks: share of the picture, and share of the greatest piece. */
const LEAST = 0.0008;
const LEAST_OF_GREATEST = 0.05;
/** Less than this share of a region is not the piece. */
const LEAST_CLOSED = 0.5;

/** Parts of the mask as regions of the grid, holes filled; specks left out. */
export function regionsOf(mask: Uint8Array, { width, height }: ReducedPixels, cv: Cv): Region[] {
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

/** A region with those of its cells that stay. */
export function withFirm(region: Region, firm: Uint8Array | undefined, columns: number): Region {
  if (firm === undefined) return region;
  const { left, top, width, mask } = region;
  const own = mask.map((one, i) => one & firm[(top + Math.floor(i / width)) * columns + left + (i % width)]);
  return own.includes(1) ? { ...region, firm: own } : region;
}

/** The part of a region within one of its contours alone, holes filled. */
export function partWithin(region: Region, contour: Points2): Region {
  const part = withFirm(filled(contour), region.firm, region.width);
  return { ...part, left: part.left + region.left, top: part.top + region.top };
}

/** The greatest part of a region among other cells, unless that is all of it or too little to be the piece. */
export function greatestWithin(region: Region, { mask, firm, grid }: CoarsePieces): Region | undefined {
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
