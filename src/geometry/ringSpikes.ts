import type { Points2 } from './types.ts';

/** A spike is at least so many times as long, there and back, as it is wide at its root. */
const LONG = 2.5;
/** Half-way out it still has this share of that width: a wedge that ends in a point has less. */
const PARALLEL = 0.7;
/** Share of its points that must lie where spikes may be. */
const THERE = 0.6;

/**
 * A ring, with points about one unit apart, without its thin spikes: stretches that come back to within `width` of where
 * they left, with parallel sides, most of them in places where `may` allows it. O(points × longest).
 */
export function withoutSpikes(
  ring: Points2,
  width: number,
  longest: number,
  may: (x: number, y: number) => boolean,
): Points2 {
  const n = ring.length / 2;
  const allowed = Uint8Array.from({ length: n }, (_, i) => (may(ring[2 * i], ring[2 * i + 1]) ? 1 : 0));
  const apart = (i: number, j: number): number => {
    const [a, b] = [2 * (i % n), 2 * (j % n)];
    return Math.hypot(ring[a] - ring[b], ring[a + 1] - ring[b + 1]);
  };
  const isSpike = (i: number, j: number): boolean => {
    const root = apart(i, j);
    const quarter = (j - i) >> 2;
    if (root > width || j - i < LONG * root || apart(i + quarter, j - quarter) < PARALLEL * root)
      return false;
    let there = 0;
    for (let k = i + 1; k < j; k++) there += allowed[k % n];
    return there >= THERE * (j - i - 1);
  };
  const reach = Math.min(Math.floor(n / 4), Math.ceil(longest));
  const out: number[] = [];
  for (let i = 0; i < n; i++) {
    out.push(ring[2 * i], ring[2 * i + 1]);
    if (allowed[(i + 1) % n] === 0) continue;
    let j = Math.min(i + reach, n - 1);
    while (j > i + 4 && !isSpike(i, j)) j--;
    if (j > i + 4) i = j - 1;
  }
  return Float64Array.from(out);
}
