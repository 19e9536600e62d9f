import { describe, expect, test } from 'vitest';
import { withoutSpikes } from '../../src/geometry/lineSpikes.ts';
import { createRandom } from '../pieces/random.ts';

describe('spikes of a closed line', () => {
  const n = 2000;
  const wave = (i: number): number => 2 * Math.sin((2 * Math.PI * i) / n);

  test('single points far off both neighbours go between them; noise and steps stay (seed 3)', () => {
    const random = createRandom(3);
    const sigma = 0.05;
    const values = Float64Array.from(
      { length: n },
      (_, i) => wave(i) + (i > 700 ? 1 : 0) + sigma * random.normal(),
    );
    const spiked = Float64Array.from(values);
    for (const i of [0, 400, 1500, n - 1]) spiked[i] += i % 2 === 0 ? 1 : -1;
    const calm = withoutSpikes(spiked, sigma);
    for (const i of [400, 1500]) expect(Math.abs(calm[i] - values[i])).toBeLessThan(4 * sigma);
    // What neighbours of a spike are is theirs; of some 2000 sound points four standard deviations leave one in 16 000.
    const changed = values.filter((_, i) => calm[i] !== spiked[i]).length;
    expect(changed).toBeGreaterThanOrEqual(2);
    expect(changed).toBeLessThanOrEqual(5);
    expect(calm[700]).toBe(spiked[700]);
    expect(calm[701]).toBe(spiked[701]);
  });

  test('without noise nothing is changed', () => {
    const values = Float64Array.from({ length: 50 }, (_, i) => (i === 20 ? 5 : 0));
    expect(withoutSpikes(values, 0)).toEqual(values);
  });
});
