import { describe, expect, test } from 'vitest';
import type { ClosedLine } from '../../src/geometry/closedLine.ts';
import { withoutSpikes } from '../../src/geometry/lineSpikes.ts';
import { createRandom } from '../pieces/random.ts';

/** Values at points one apart. */
function line(values: Float64Array): ClosedLine {
  return { channels: [values], arc: values.map((_, i) => i), length: values.length };
}

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
    const calm = withoutSpikes(line(spiked), sigma);
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
    expect(withoutSpikes(line(values), 0)).toEqual(values);
  });

  test('a cusp to which a side climbs stays, as high as it is, and a step beside it (seed 4)', () => {
    const random = createRandom(4);
    const sigma = 0.01;
    // Scallops 20 points wide that meet in cusps; half of the cusps stand above a step.
    const scallop = (i: number): number => {
      const u = (i % 20) / 10 - 1;
      return u * u + (i % 40 > 20 ? -0.5 : 0);
    };
    const values = Float64Array.from({ length: 400 }, (_, i) => scallop(i) + sigma * random.normal());
    expect(withoutSpikes(line(values), sigma)).toEqual(values);
  });
});
