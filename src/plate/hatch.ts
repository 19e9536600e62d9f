import type { Points2 } from '../geometry/types.ts';

/** Strokes at 45°, rising to the right (y down), `spacing` apart, inside rings by the even-odd rule. */
export function hatch(rings: readonly Points2[], spacing: number): Points2[] {
  // Along a stroke x + y is constant.
  const levels = rings.flatMap((ring) =>
    Array.from({ length: ring.length / 2 }, (_, i) => ring[2 * i] + ring[2 * i + 1]),
  );
  const low = Math.min(...levels);
  const high = Math.max(...levels);
  const strokes: Points2[] = [];
  for (let level = low + spacing / 2; level < high; level += spacing) {
    const crossings = rings.flatMap((ring) => crossingsOf(ring, level)).sort((a, b) => a - b);
    for (let i = 0; i + 1 < crossings.length; i += 2) {
      const [a, b] = [crossings[i], crossings[i + 1]];
      strokes.push(Float64Array.of(a, level - a, b, level - b));
    }
  }
  return strokes;
}

/** x at which a ring crosses x + y = level. */
function crossingsOf(ring: Points2, level: number): number[] {
  const found: number[] = [];
  for (let i = 0; i < ring.length; i += 2) {
    const j = (i + 2) % ring.length;
    const a = ring[i] + ring[i + 1] - level;
    const b = ring[j] + ring[j + 1] - level;
    if (a < 0 === b < 0) continue;
    found.push(ring[i] + ((ring[j] - ring[i]) * a) / (a - b));
  }
  return found;
}
