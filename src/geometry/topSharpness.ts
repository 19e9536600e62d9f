import type { CalmField } from './calmField.ts';
import { CONFIDENCE } from './fieldEstimate.ts';
import type { Peak } from './fieldPeak.ts';

/** Of what a disc a grain in radius takes off a sharp top, facets take off this share, and fits that take noise off as much again. */
const CUT_OFF = { facets: 0.5, fits: 0.5 } as const;
/** Cells along a grain that sharpness is judged by at most. */
const CELLS_PER_REACH = 5;

/**
 * How sharp a top is for its facets: about what they cut off it, whether crest, cone or brink, in the unit of the values.
 * It stands so much above the highest mean over a disc a grain in radius near it, of which a crest loses 0.42 and a cone
 * 0.67 of its slope by a grain, and about half as much to facets. Noise raises the highest of means, never this.
 */
export function topSharpness({ grid, sigma }: CalmField, { column, row, value }: Peak): number {
  const { values, columns, rows, cell, grain } = grid;
  const step = Math.max(1, Math.round(grain / cell / CELLS_PER_REACH));
  const reach = Math.max(1, Math.round(grain / cell / step));
  const at = (c: number, r: number): number => {
    const [x, y] = [column + c * step, row + r * step];
    return x < 0 || y < 0 || x >= columns || y >= rows ? NaN : values[y * columns + x];
  };
  const disc: (readonly [number, number])[] = [];
  for (let r = -reach; r <= reach; r++) {
    for (let c = -reach; c <= reach; c++) if (r * r + c * c <= reach * reach) disc.push([c, r]);
  }
  let [mean, top] = [-Infinity, value];
  for (const [c, r] of disc) {
    const here = at(c, r);
    if (Number.isNaN(here)) continue;
    top = Math.max(top, here - CONFIDENCE * sigma);
    let [sum, count] = [0, 0];
    for (const [dc, dr] of disc) {
      const v = at(c + dc, r + dr);
      if (Number.isNaN(v)) continue;
      sum += v;
      count++;
    }
    mean = Math.max(mean, sum / count);
  }
  return (CUT_OFF.facets + (sigma > 0 ? CUT_OFF.fits : 0)) * Math.max(0, top - mean);
}
