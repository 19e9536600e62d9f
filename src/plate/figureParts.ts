import type { Points2 } from '../geometry/types.ts';
import type { Pair } from '../record/schema.ts';
import type { Colour } from './drawing.ts';
import type { PlateStyle } from './plateStyle.ts';

export const INK: Colour = '#1a1816';
export const SOFT: Colour = '#55504a';
/** Beneath a line that crosses a photograph, which may be as dark as the line. */
export const SEAM: Colour = '#ffffff';

/** From the piece to the paper, mm. */
export type Place = (point: Pair) => Pair;

/** Small words beside a figure. */
export function wordsItem(text: string, x: number, y: number, style: PlateStyle) {
  return { kind: 'text', text, x, y, size: style.type.text * 0.88, weight: 'regular', colour: SOFT } as const;
}

/** Points closer than this on paper add nothing that can be seen, mm. */
const NEAREST = 0.03;

/** A line on paper, without what is too close to be seen. */
export function points(from: readonly Pair[], place: Place): Points2 {
  const out = new Float64Array(2 * from.length);
  let n = 0;
  for (let i = 0; i < from.length; i++) {
    const [x, y] = place(from[i]);
    const near = n > 0 && Math.abs(x - out[n - 2]) < NEAREST && Math.abs(y - out[n - 1]) < NEAREST;
    if (near && i < from.length - 1) continue;
    out[n++] = x;
    out[n++] = y;
  }
  return out.slice(0, n);
}

/** What lines of the piece span; turned inside out where there are none. */
export interface Box {
  readonly minX: number;
  readonly maxX: number;
  readonly minY: number;
  readonly maxY: number;
}

export function boxOf(lines: readonly (readonly Pair[])[]): Box {
  let [minX, maxX, minY, maxY] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const line of lines) {
    for (const [x, y] of line) {
      if (x < minX) minX = x;
      if (x > maxX) maxX = x;
      if (y < minY) minY = y;
      if (y > maxY) maxY = y;
    }
  }
  return { minX, maxX, minY, maxY };
}

/** To a tenth. */
export function round(value: number): number {
  return Number(value.toFixed(1));
}
