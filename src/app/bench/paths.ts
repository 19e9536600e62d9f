import type { Pair } from '../../record/schema.ts';

/** SVG path of a line in millimetres, mapped to pixels. One decimal of a pixel is finer than any screen shows. */
export function pathOf(
  points: readonly Pair[],
  toX: (x: number) => number,
  toY: (y: number) => number,
  closed = false,
): string {
  if (points.length === 0) return '';
  const steps = points.map(([x, y]) => `${toX(x).toFixed(1)} ${toY(y).toFixed(1)}`);
  return `M${steps.join('L')}${closed ? 'Z' : ''}`;
}

/** The same for columns of equal length; the line is broken where a number is missing. */
export function pathOfColumns(
  along: readonly (number | null)[],
  across: readonly (number | null)[],
  place: (along: number, across: number) => Pair,
): string {
  let path = '';
  let pen = false;
  along.forEach((a, i) => {
    const b = across[i];
    if (a === null || b === null || b === undefined) {
      pen = false;
      return;
    }
    const [x, y] = place(a, b);
    // A move alone draws nothing: `h0` leaves a dot where one number stands by itself.
    path += pen ? `L${x.toFixed(1)} ${y.toFixed(1)}` : `M${x.toFixed(1)} ${y.toFixed(1)}h0`;
    pen = true;
  });
  return path;
}
