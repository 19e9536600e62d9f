import type { ThicknessMap } from './types.ts';

/** Rings about a lump's top, in radii of its footprint: on its flank, at its foot, on the ground round it. */
const RINGS = [0.4, 1.1, 1.8] as const;
/** Lines through the top along which the rings are sampled, evenly turned. */
const LINES = 24;
/** Lines that reach the ground on both sides, at least: else there is no ground to stand on. */
const LEAST_LINES = 3;

/**
 * Whether a lump has a foot: going out from its top, the face falls down its flank and levels off on the ground round it.
 * A swell of the face itself, which a reference may have missed, does the contrary: it falls off more and more steeply
 * toward the margins.
 *
 * Told from the heights themselves, without the reference. Along each line through the top, heights at the same distance
 * on both sides are averaged, so that a slope of the ground falls out; the lump has a foot where the mean slope from foot
 * to ground is less steep than that from flank to foot.
 *
 * @param heights face over the margin surface, smoothed, mm; NaN outside
 * @param x, @param y top, mm
 * @param radius of the footprint, mm
 */
export function hasFoot(
  heights: Float32Array,
  map: ThicknessMap,
  x: number,
  y: number,
  radius: number,
): boolean {
  const [inner, foot, outer] = RINGS;
  let bend = 0;
  let lines = 0;
  for (let i = 0; i < LINES; i++) {
    const angle = (Math.PI * i) / LINES;
    const dx = radius * Math.cos(angle);
    const dy = radius * Math.sin(angle);
    const level = (share: number): number =>
      (heightAt(heights, map, x + share * dx, y + share * dy) +
        heightAt(heights, map, x - share * dx, y - share * dy)) /
      2;
    const [a, b, c] = RINGS.map(level);
    const turn = (c - b) / (outer - foot) - (b - a) / (foot - inner);
    if (Number.isNaN(turn)) continue;
    bend += turn;
    lines++;
  }
  return lines >= LEAST_LINES && bend > 0;
}

/** Height of the cell that holds a place; NaN beyond the map. */
function heightAt(heights: Float32Array, map: ThicknessMap, x: number, y: number): number {
  const column = Math.round((x - map.x0) / map.cell);
  const row = Math.round((y - map.y0) / map.cell);
  if (column < 0 || row < 0 || column >= map.columns || row >= map.rows) return NaN;
  return heights[row * map.columns + column];
}
