/**
 * Where a function changes sign between t = 0 and t = 1, to about 1e-12 of the stretch (bisection: surfaces have kinks,
 * which faster methods dislike). `f0` is its value at 0; at 1 it has the other sign.
 */
export function signChange(f: (t: number) => number, f0: number): number {
  return boundary((t) => f(t) > 0 === f0 > 0);
}

/** The boundary in 0…1 between where `stays` holds (at 0) and where it does not (at 1). */
export function boundary(stays: (t: number) => boolean, steps = 40): number {
  let low = 0;
  let high = 1;
  for (let i = 0; i < steps; i++) {
    const middle = (low + high) / 2;
    if (stays(middle)) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/**
 * The point nearest to (x, y) along the unit direction (nx, ny), at most `reach` away, where `f` is zero; null when it
 * does not change sign there. `f` must fall in that direction.
 */
export function ontoZero(
  f: (x: number, y: number) => number,
  x: number,
  y: number,
  nx: number,
  ny: number,
  reach: number,
): readonly [number, number] | null {
  const at = (s: number): number => f(x + s * nx, y + s * ny);
  const here = at(0);
  if (here === 0) return [x, y];
  const way = here > 0 ? 1 : -1;
  for (const span of [reach / 8, reach / 2, reach]) {
    if (at(way * span) > 0 === here > 0) continue;
    const s = way * span * signChange((t) => at(way * span * t), here);
    return [x + s * nx, y + s * ny];
  }
  return null;
}
