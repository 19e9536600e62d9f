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

function momentsOf(window: Float64Array, angle: number): CreaseMoments {
  const moments = new CreaseMoments(3, 0.1);
  moments.gather(window, angle);
  return moments;
}

describe('CreaseMoments', () => {
  it.each([
    [0, 0],
    [0.7, 0.5],
    [-1.2, -1],
  ])('finds the terms of a crease again, normal at %f, place %f', (angle, place) => {
    const fit = momentsOf(samples(angle, place, 0), angle).fit(place, 0.3, 10)!;
    TERMS.forEach((term, i) => {
      expect(fit.terms[i]).toBeCloseTo(term, 8);
    });
    expect(fit.squares).toBeLessThan(1e-10);
    expect(fit.count).toBeLessThan(600);
  });

  it('states the scatter of the crease’s height that noise gives', () => {
    const fit = momentsOf(samples(0.7, 0.5, 0.05), 0.7).fit(0.5, 0.3, 10)!;
    expect(Math.sqrt(fit.squares / (fit.count - 7))).toBeCloseTo(0.05, 2);
    expect(Math.abs(fit.terms[0] - TERMS[0])).toBeLessThan(3 * 0.05 * Math.sqrt(fit.variance(0)));
    expect(fit.variance(0)).toBeGreaterThan(1 / 600);
    expect(fit.variance(2.5)).toBeGreaterThan(fit.variance(0));
  });

  it('knows nothing more of what was gathered before', () => {
    const moments = momentsOf(samples(0.2, -0.4, 0.1), 0.2);
    moments.scatter(-0.4, 0.3, 10);
    moments.gather(samples(0.7, 0.5, 0.05), 0.7);
    const fresh = momentsOf(samples(0.7, 0.5, 0.05), 0.7);
    expect(moments.scatter(0.5, 0.3, 10)).toBe(fresh.scatter(0.5, 0.3, 10));
    const [again, once] = [moments, fresh].map((of) => of.fit(0.5, 0.3, 10)!);
    expect(again.terms).toEqual(once.terms);
    expect([again.angle, again.squares, again.count]).toEqual([once.angle, once.squares, once.count]);
  });

  it('has nothing to say where one side is missing', () => {
    expect(momentsOf(samples(0, 0, 0), 0).fit(1.9, 0.3, 10)).toBeUndefined();
  });
});
