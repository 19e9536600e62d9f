import type { Points2 } from './types.ts';

/** Distance from (x, y) to the nearest point of a closed ring. O(points). */
export function distanceToRing(ring: Points2, x: number, y: number): number {
  const [nearX, nearY] = nearestOnRing(ring, x, y);
  return Math.hypot(x - nearX, y - nearY);
}

/** The point of a closed ring that is nearest to (x, y). O(points). */
export function nearestOnRing(ring: Points2, x: number, y: number): [number, number] {
  let nearest = Infinity;
  let best: [number, number] = [NaN, NaN];
  const n = ring.length;
  for (let i = 0; i < n; i += 2) {
    const j = i + 2 === n ? 0 : i + 2;
    const dx = ring[j] - ring[i];
    const dy = ring[j + 1] - ring[i + 1];
    const px = x - ring[i];
    const py = y - ring[i + 1];
    const squared = dx * dx + dy * dy;
    const f = squared > 0 ? Math.min(1, Math.max(0, (px * dx + py * dy) / squared)) : 0;
    const away = (px - f * dx) ** 2 + (py - f * dy) ** 2;
    if (away < nearest) {
      nearest = away;
      best = [ring[i] + f * dx, ring[i + 1] + f * dy];
    }
  }
  return best;
}
