import type { Points2 } from './types.ts';

/** Distance from x, y to a closed ring; 0 inside it. Same unit as the ring. */
export function distanceOutside(ring: Points2, x: number, y: number): number {
  let inside = false;
  let nearestSq = Infinity;
  const n = ring.length / 2;
  for (let i = 0, j = n - 1; i < n; j = i++) {
    const ax = ring[2 * j];
    const ay = ring[2 * j + 1];
    const bx = ring[2 * i];
    const by = ring[2 * i + 1];
    if (ay > y !== by > y && x < ax + ((y - ay) / (by - ay)) * (bx - ax)) inside = !inside;
    const dx = bx - ax;
    const dy = by - ay;
    const lengthSq = dx * dx + dy * dy;
    const t = lengthSq > 0 ? Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / lengthSq)) : 0;
    const ex = ax + t * dx - x;
    const ey = ay + t * dy - y;
    nearestSq = Math.min(nearestSq, ex * ex + ey * ey);
  }
  return inside ? 0 : Math.sqrt(nearestSq);
}
