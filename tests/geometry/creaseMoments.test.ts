import { describe, expect, it } from 'vitest';
import { CreaseMoments } from '../../src/geometry/creaseMoments.ts';
import { createRandom } from '../pieces/random.ts';

/** Level, slope and bend along; slope and bend below and above, of a crease at `place` whose normal lies at `angle`. */
const TERMS = [0.3, -0.1, -0.02, 0.4, 0.03, -0.7, -0.05];

function samples(angle: number, place: number, noise: number): Float64Array {
  const random = createRandom(3);
  return Float64Array.from(
    Array.from({ length: 600 }, () => [random.between(-2, 2), random.between(-2, 2)]).flatMap(([x, y]) => {
      const t = Math.cos(angle) * x + Math.sin(angle) * y - place;
      const s = -Math.sin(angle) * x + Math.cos(angle) * y;
      const [level, slope, bend, lower, lowerBend, upper, upperBend] = TERMS;
      const across = t < 0 ? lower * t + lowerBend * t * t : upper * t + upperBend * t * t;
      return [x, y, level + slope * s + bend * s * s + across + noise * random.normal()];
    }),
  );
}

describe('CreaseMoments', () => {
  it.each([
    [0, 0],
    [0.7, 0.5],
    [-1.2, -1],
  ])('finds the terms of a crease again, normal at %f, place %f', (angle, place) => {
    const fit = new CreaseMoments(samples(angle, place, 0), angle, 3, 0.1).fit(place, 0.3, 10)!;
    TERMS.forEach((term, i) => {
      expect(fit.terms[i]).toBeCloseTo(term, 8);
    });
    expect(fit.squares).toBeLessThan(1e-10);
    expect(fit.count).toBeLessThan(600);
  });

  it('states the scatter of the crease’s height that noise gives', () => {
    const fit = new CreaseMoments(samples(0.7, 0.5, 0.05), 0.7, 3, 0.1).fit(0.5, 0.3, 10)!;
    expect(Math.sqrt(fit.squares / (fit.count - 7))).toBeCloseTo(0.05, 2);
    expect(Math.abs(fit.terms[0] - TERMS[0])).toBeLessThan(3 * 0.05 * Math.sqrt(fit.variance(0)));
    expect(fit.variance(0)).toBeGreaterThan(1 / 600);
    expect(fit.variance(2.5)).toBeGreaterThan(fit.variance(0));
  });

  it('has nothing to say where one side is missing', () => {
    expect(new CreaseMoments(samples(0, 0, 0), 0, 3, 0.1).fit(1.9, 0.3, 10)).toBeUndefined();
  });
});
