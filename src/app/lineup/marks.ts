/** Marks of the groups: told apart by shape as well as by colour. Where the pen starts, and the way round, for radius 1. */
const SHAPES: readonly ((r: number) => { readonly dx: number; readonly dy: number; readonly way: string })[] =
  [
    // Circle
    (r) => ({ dx: -r, dy: 0, way: `a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0Z` }),
    // Square
    (r) => ({ dx: -0.9 * r, dy: -0.9 * r, way: `h${1.8 * r}v${1.8 * r}h${-1.8 * r}Z` }),
    // Triangle
    (r) => ({ dx: 0, dy: -1.2 * r, way: `l${1.1 * r} ${1.9 * r}h${-2.2 * r}Z` }),
    // Diamond
    (r) => ({
      dx: 0,
      dy: -1.3 * r,
      way: `l${1.3 * r} ${1.3 * r}l${-1.3 * r} ${1.3 * r}l${-1.3 * r} ${-1.3 * r}Z`,
    }),
    // Triangle on its tip
    (r) => ({ dx: 0, dy: 1.2 * r, way: `l${1.1 * r} ${-1.9 * r}h${-2.2 * r}Z` }),
    // Upright bar
    (r) => ({ dx: -0.5 * r, dy: -1.2 * r, way: `h${r}v${2.4 * r}h${-r}Z` }),
  ];

/** Tenths of a pixel are as fine as a screen shows. */
function tenth(value: number): number {
  return Math.round(value * 10) / 10;
}

/** One path for all marks of a group: thousands of pieces are a few elements. Points that are not finite are left out. */
export function marksPath(group: number, x: ArrayLike<number>, y: ArrayLike<number>, radius: number): string {
  const shape = SHAPES[group % SHAPES.length](radius);
  const way = shape.way.replace(/-?\d+\.\d+/g, (number) => String(Number(Number(number).toFixed(2))));
  const parts: string[] = [];
  for (let i = 0; i < x.length; i++) {
    if (Number.isFinite(x[i]) && Number.isFinite(y[i])) {
      parts.push(`M${tenth(x[i] + shape.dx)} ${tenth(y[i] + shape.dy)}${way}`);
    }
  }
  return parts.join('');
}

/** Upright ticks about y, one for all pieces that fall on the same half pixel. */
export function ticksPath(x: ArrayLike<number>, y: number, height = 10): string {
  const places = new Set<number>();
  for (let i = 0; i < x.length; i++) if (Number.isFinite(x[i])) places.add(Math.round(2 * x[i]) / 2);
  return Array.from(places, (at) => `M${at} ${tenth(y - height / 2)}v${tenth(height)}`).join('');
}

/** Beyond so many, marks of one row run into each other: ticks say the same. */
export const MANY_MARKS = 600;

/** Smaller marks where there are many. */
export function markRadius(count: number): number {
  if (count <= 60) return 5;
  return count <= MANY_MARKS ? 3.5 : 2.2;
}
