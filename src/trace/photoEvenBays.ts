import { medianInPlace } from '../geometry/median.ts';
import { distanceTo } from '../geometry/rasterDistance.ts';
import { eachPart } from '../geometry/rasterParts.ts';
import type { OffBackdrop } from './photoBackdrop.ts';
import type { Mouth } from './photoBays.ts';

/** A bay's mouth is at most twice this share of the root of all cells of pieces wide. */
const REACH = 0.12;
/** A backdrop is rough when cells two apart differ by this much (logarithms of light). */
const ROUGH = 0.05;
/** A bay is none when its cells differ by less than this share of what those of the backdrop do. */
const EVEN = 0.4;
/** Cells nearer to a piece are a little of it; fewer of the others tell nothing. */
const ASIDE = 2.5;
const FEWEST = 20;

/**
 * Bays of the pieces in which the texture of a rough backdrop (felt, carpet, concrete) is missing: glints as light as it. What
 * shows the backdrop, shaded or not, shows its texture, for a shadow multiplies light.
 *
 * @param mask 1 on pieces; @param unrest standard deviation of what cells of the backdrop two apart differ by, logarithms of light
 */
export function evenBays(
  { tones: [light], width }: OffBackdrop,
  mask: Uint8Array,
  unrest: number,
): { readonly cells: readonly number[]; readonly mouths: readonly Mouth[] } {
  const cells: number[] = [];
  const mouths: Mouth[] = [];
  if (unrest < ROUGH) return { cells, mouths };
  const reach = REACH * Math.sqrt(mask.reduce((sum, one) => sum + one, 0));
  const toMask = distanceTo(mask, width);
  const toFree = distanceTo(
    Uint8Array.from(toMask, (away) => (away > reach ? 1 : 0)),
    width,
  );
  const bays = mask.map((one, i) => (one === 0 && toFree[i] > reach ? 1 : 0));
  eachPart(bays, width, 4, (bay) => {
    const steps: number[] = [];
    for (const cell of bay) {
      if (toMask[cell] < ASIDE || cell < width || cell + width >= mask.length) continue;
      for (const step of [1, width]) steps.push(Math.abs(light[cell + step] - light[cell - step]));
    }
    if (steps.length < 2 * FEWEST) return;
    if (1.4826 * medianInPlace(Float64Array.from(steps)) >= EVEN * unrest) return;
    cells.push(...bay);
    const isOpen = (cell: number): boolean => mask[cell] === 0 && bays[cell] === 0;
    const rim = bay.filter((cell) => [cell - 1, cell + 1, cell - width, cell + width].some(isOpen));
    for (const cell of rim) mouths.push({ x: cell % width, y: Math.floor(cell / width), wide: rim.length });
  });
  return { cells, mouths };
}
