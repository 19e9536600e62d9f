import { describe, expect, it } from 'vitest';
import { barChains } from '../../src/intake/scaleBarChain.ts';
import { createRandom } from '../pieces/random.ts';

/** A rectangle with its middle at (x, y), `along` by `across` pixels, turned by `angle`; clockwise as seen. */
function rectangle(x: number, y: number, along: number, across: number, angle: number): Float64Array {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const corners = [-1, -1, 1, -1, 1, 1, -1, 1];
  return Float64Array.from(corners, (_, i) => {
    const [u, v] = [(corners[i & ~1] * along) / 2, (corners[i | 1] * across) / 2];
    return (i & 1) === 0 ? x + c * u - s * v : y + s * u + c * v;
  });
}

describe('barChains', () => {
  it.each([
    [20, 0.3],
    [90, 2.1],
    [700, 0.02],
  ])(
    'finds a row of five blocks of %s px at %s rad among a thousand squares, whole and in order',
    (block, angle) => {
      const random = createRandom(3);
      const strewn = Array.from({ length: 1000 }, () =>
        rectangle(4000 * random.next(), 3000 * random.next(), 7, 7, 3 * random.next()),
      );
      const [c, s] = [Math.cos(angle), Math.sin(angle)];
      const [x0, y0] = [3000 - 4 * block * c, 200];
      const row = Array.from({ length: 5 }, (_, k) =>
        rectangle(x0 + 2 * k * block * c, y0 + 2 * k * block * s, block, 0.6 * block, angle),
      );
      // Laid among the others in no order.
      const quads = [...strewn];
      for (const k of [3, 0, 4, 2, 1]) quads.splice(Math.floor(quads.length * random.next()), 0, row[k]);
      const chain = barChains(quads).find(({ middles }) => middles.length === 10)!;
      expect(chain.block).toBeCloseTo(block, 6);
      expect(chain.across).toBeCloseTo(0.6 * block, 6);
      const sense = chain.middles[0] < chain.middles[8] === c > 0 ? 1 : -1;
      const order = sense > 0 ? [0, 1, 2, 3, 4] : [4, 3, 2, 1, 0];
      order.forEach((k, i) => {
        expect(chain.middles[2 * i]).toBeCloseTo(x0 + 2 * k * block * c, 6);
        expect(chain.middles[2 * i + 1]).toBeCloseTo(y0 + 2 * k * block * s, 6);
      });
    },
  );
});
