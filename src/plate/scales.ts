import { scaleLinear, scaleSequential as sequential } from 'd3-scale';
import { interpolateCividis } from 'd3-scale-chromatic';

/**
 * Colours of a quantity from 0 to `most`: cividis (Nuñez, Anderton & Renslow 2018), which people with and without
 * colour vision deficiency see nearly alike, and which prints well in grey.
 */
export function scaleSequential(most: number): (value: number) => string {
  return sequential(interpolateCividis).domain([0, most || 1]);
}

/** About `count` round values from `from` to `to`. */
export function ticks(from: number, to: number, count: number): number[] {
  return scaleLinear().domain([from, to]).ticks(count);
}
