import type { Points2 } from '../../src/geometry/types.ts';

export interface Box {
  readonly x0: number;
  readonly x1: number;
  readonly y0: number;
  readonly y1: number;
}

export function bounds(points: Points2): Box {
  let [x0, x1, y0, y1] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < points.length; i += 2) {
    x0 = Math.min(x0, points[i]);
    x1 = Math.max(x1, points[i]);
    y0 = Math.min(y0, points[i + 1]);
    y1 = Math.max(y1, points[i + 1]);
  }
  return { x0, x1, y0, y1 };
}

/** Even–odd test with the ring's edges sorted into bands of y, for many points. On the ring either answer may come. */
export function createInside(ring: Points2): (x: number, y: number) => boolean {
  const n = ring.length / 2;
  const { y0, y1 } = bounds(ring);
  const count = Math.max(1, Math.floor(n / 2));
  const scale = count / (y1 - y0);
  const bands: number[][] = Array.from({ length: count }, () => []);
  const band = (y: number) => Math.min(count - 1, Math.floor((y - y0) * scale));
  for (let i = 0; i < n; i++) {
    const [ya, yb] = [ring[2 * i + 1], ring[2 * ((i + 1) % n) + 1]];
    for (let k = band(Math.min(ya, yb)); k <= band(Math.max(ya, yb)); k++) bands[k].push(i);
  }
  return (x, y) => {
    if (!(y >= y0 && y <= y1)) return false;
    let odd = false;
    for (const i of bands[band(y)]) {
      const j = i + 1 === n ? 0 : i + 1;
      const yi = ring[2 * i + 1];
      const yj = ring[2 * j + 1];
      if (yi > y !== yj > y && x < ring[2 * i] + ((y - yi) / (yj - yi)) * (ring[2 * j] - ring[2 * i]))
        odd = !odd;
    }
    return odd;
  };
}
