/** Marks of the groups: told apart by shape as well as by colour. Path data of one mark about x, y. */
const SHAPES: readonly ((x: number, y: number, r: number) => string)[] = [
  // Circle
  (x, y, r) =>
    `M${f(x - r)} ${f(y)}a${f(r)} ${f(r)} 0 1 0 ${f(2 * r)} 0a${f(r)} ${f(r)} 0 1 0 ${f(-2 * r)} 0Z`,
  // Square
  (x, y, r) => `M${f(x - 0.88 * r)} ${f(y - 0.88 * r)}h${f(1.76 * r)}v${f(1.76 * r)}h${f(-1.76 * r)}Z`,
  // Triangle
  (x, y, r) => `M${f(x)} ${f(y - 1.2 * r)}l${f(1.1 * r)} ${f(1.95 * r)}h${f(-2.2 * r)}Z`,
  // Diamond
  (x, y, r) =>
    `M${f(x)} ${f(y - 1.3 * r)}l${f(1.3 * r)} ${f(1.3 * r)}l${f(-1.3 * r)} ${f(1.3 * r)}l${f(-1.3 * r)} ${f(-1.3 * r)}Z`,
  // Triangle on its tip
  (x, y, r) => `M${f(x)} ${f(y + 1.2 * r)}l${f(1.1 * r)} ${f(-1.95 * r)}h${f(-2.2 * r)}Z`,
  // Upright bar
  (x, y, r) => `M${f(x - 0.5 * r)} ${f(y - 1.2 * r)}h${f(r)}v${f(2.4 * r)}h${f(-r)}Z`,
];

/** Tenths of a pixel are as fine as a screen shows. */
function f(value: number): string {
  return String(Math.round(value * 10) / 10);
}

/** One path for all marks of a group: thousands of pieces are a few elements. Points that are not finite are left out. */
export function marksPath(group: number, x: ArrayLike<number>, y: ArrayLike<number>, radius: number): string {
  const mark = SHAPES[group % SHAPES.length];
  let path = '';
  for (let i = 0; i < x.length; i++) {
    if (Number.isFinite(x[i]) && Number.isFinite(y[i])) path += mark(x[i], y[i], radius);
  }
  return path;
}

/** Smaller marks where there are many. */
export function markRadius(count: number): number {
  if (count <= 60) return 5;
  return count <= 600 ? 3.5 : 2.2;
}
