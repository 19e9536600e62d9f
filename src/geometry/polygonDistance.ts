import type { Points2 } from './types.ts';

/** Distance from (x, y) to the nearest point of a closed ring. O(points). */
export function distanceToRing(ring: Points2, x: number, y: number): number {
  let nearest = Infinity;
  const n = ring.length;
  for (let i = 0; i < n; i += 2) {
    const j = i + 2 === n ? 0 : i + 2;
    const dx = ring[j] - ring[i];
    const dy = ring[j + 1] - ring[i + 1];
    const px = x - ring[i];
    const py = y - ring[i + 1];
    const squared = dx * dx + dy * dy;
    const f = squared > 0 ? Math.min(1, Math.max(0, (px * dx + py * dy) / squared)) : 0;
    nearest = Math.min(nearest, (px - f * dx) ** 2 + (py - f * dy) ** 2);
  }
  return Math.sqrt(nearest);
}
