import { dilated } from '../geometry/rasterMorphology.ts';
import { eachPart } from '../geometry/rasterParts.ts';
import type { Region } from './photoRegion.ts';

/** Parts with fewer cells between them than this lie together; a square of so many cells joins them. */
const JOINED = 5;
/** Smaller parts are specks, cells; and so many parts at least are scattered: two pieces side by side are not. */
const [SPECK, PARTS] = [4, 4];

/**
 * By region: its share, 0…1, of what stands off the backdrop there. Where stone is so like its backdrop that only scattered parts of it
 * are told from that, the greatest of them is not the piece. 1 where parts are few.
 *
 * @param all 1 on cells that stand off the backdrop, of the grid that the regions are cells of; @param left regions that are no stone (cards)
 */
export function wholeness(
  regions: readonly Region[],
  all: Uint8Array,
  left: readonly boolean[],
  width: number,
): number[] {
  const cells = all.slice();
  regions.forEach((region, k) => {
    setCells(cells, width, region, left[k] ? 0 : 1);
  });
  let parts = 0;
  eachPart(cells, width, 8, ({ length }) => {
    if (length >= SPECK) parts++;
  });
  // So few as there are in most pictures are not scattered, wherever they lie.
  if (parts < PARTS) return regions.map(() => 1);
  return sharesOf(regions, cells, left, width);
}

/** The shares by which of the parts lie near to each other. */
function sharesOf(
  regions: readonly Region[],
  cells: Uint8Array,
  left: readonly boolean[],
  width: number,
): number[] {
  // Which cluster each cell is in.
  const cluster = new Int32Array(cells.length).fill(-1);
  let clusters = 0;
  eachPart(dilated(cells, width, JOINED), width, 8, (part) => {
    for (const cell of part) cluster[cell] = clusters;
    clusters++;
  });
  const [sizes, parts] = [new Uint32Array(clusters), new Uint32Array(clusters)];
  eachPart(cells, width, 8, (part) => {
    if (part.length < SPECK) return;
    sizes[cluster[part[0]]] += part.length;
    parts[cluster[part[0]]]++;
  });
  return regions.map((region, k) => {
    const first = region.mask.indexOf(1);
    if (left[k] || first < 0) return 1;
    const own =
      cluster[(region.top + Math.floor(first / region.width)) * width + region.left + (first % region.width)];
    const size = region.mask.reduce((sum, one) => sum + one, 0);
    return parts[own] < PARTS ? 1 : Math.min(1, size / sizes[own]);
  });
}

/** Sets the cells of a region in a grid. */
function setCells(
  cells: Uint8Array,
  width: number,
  { left, top, width: columns, height, mask }: Region,
  to: 0 | 1,
): void {
  for (let v = 0, i = 0; v < height; v++) {
    for (let u = 0, cell = (top + v) * width + left; u < columns; u++, i++, cell++) {
      if (mask[i] === 1) cells[cell] = to;
    }
  }
}
