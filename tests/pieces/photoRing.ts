import type { Points2 } from '../../src/geometry/types.ts';
import { bounds, createInside } from './polygonInside.ts';

/** Signed distance to a ring (negative inside), from a grid of `step`; at least `far` is told beyond the grid. */
export function ringDistance(ring: Points2, step: number, far: number): (x: number, y: number) => number {
  const { x0, x1, y0, y1 } = bounds(ring);
  const inside = createInside(ring);
  const [left, low] = [x0 - far - step, y0 - far - step];
  const columns = Math.ceil((x1 + far + step - left) / step) + 1;
  const rows = Math.ceil((y1 + far + step - low) / step) + 1;
  const grid = new Float32Array(columns * rows);
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++) {
      const [x, y] = [left + i * step, low + j * step];
      const d = nearest(ring, x, y);
      grid[j * columns + i] = inside(x, y) ? -d : d;
    }
  }
  return (x, y) => {
    const [u, v] = [(x - left) / step, (y - low) / step];
    const [i, j] = [Math.floor(u), Math.floor(v)];
    if (i < 0 || j < 0 || i >= columns - 1 || j >= rows - 1) return far;
    const k = j * columns + i;
    const [fu, fv] = [u - i, v - j];
    return (
      (grid[k] * (1 - fu) + grid[k + 1] * fu) * (1 - fv) +
      (grid[k + columns] * (1 - fu) + grid[k + columns + 1] * fu) * fv
    );
  };
}

function nearest(ring: Points2, x: number, y: number): number {
  let least = Infinity;
  for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
    const [ax, ay, bx, by] = [ring[j], ring[j + 1], ring[i], ring[i + 1]];
    const [ex, ey] = [bx - ax, by - ay];
    const share = Math.min(1, Math.max(0, ((x - ax) * ex + (y - ay) * ey) / (ex * ex + ey * ey || 1)));
    least = Math.min(least, (ax + share * ex - x) ** 2 + (ay + share * ey - y) ** 2);
  }
  return Math.sqrt(least);
}
