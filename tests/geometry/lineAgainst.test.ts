import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  fitHeightLine,
  type HeightRun,
  heightsAbove,
  meanSquare,
  signChanges,
} from '../../src/geometry/lineAgainst.ts';

function run(y: readonly number[], z: readonly number[]): HeightRun {
  const weight = y.slice(1).map((v, i) => Math.abs(v - y[i]));
  return { y: Float64Array.from(y), z: Float64Array.from(z), weight: Float64Array.from(weight) };
}

describe('the line against y', () => {
  test('goes through points of a line, also over several runs, and leaves nothing', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -3, max: 3, noNaN: true }),
        fc.double({ min: -3, max: 3, noNaN: true }),
        (level, slope) => {
          const runs = [
            [0, 1, 3, 4],
            [9, 9.5, 12],
          ].map((y) =>
            run(
              y,
              y.map((v) => level + slope * v),
            ),
          );
          const line = fitHeightLine(runs);
          expect(line?.level).toBeCloseTo(level, 9);
          expect(line?.slope).toBeCloseTo(slope, 9);
          if (line !== null)
            expect(
              meanSquare(
                runs.map((r) => heightsAbove(r, line)),
                runs,
              ),
            ).toBeLessThan(1e-16);
        },
      ),
    );
  });

  test('is that of the straight pieces and not of their ends: splitting a piece changes nothing', () => {
    const coarse = [run([0, 2, 5, 6], [0, 1, -1, 4])];
    const fine = [run([0, 1, 2, 3.5, 5, 5.2, 6], [0, 0.5, 1, 0, -1, 0, 4])];
    const [a, b] = [fitHeightLine(coarse), fitHeightLine(fine)];
    if (a === null || b === null) throw new Error('no line');
    expect(b.level).toBeCloseTo(a.level, 12);
    expect(b.slope).toBeCloseTo(a.slope, 12);
    expect(meanSquare([heightsAbove(fine[0], b)], fine)).toBeCloseTo(
      meanSquare([heightsAbove(coarse[0], a)], coarse),
      12,
    );
  });

  test('the mean square of a triangle wave of height h is h²/3', () => {
    const triangle = run([0, 1, 3, 5, 7, 8], [0, 2, -2, 2, -2, 0]);
    expect(meanSquare([triangle.z], [triangle])).toBeCloseTo(4 / 3, 12);
  });

  test('has no answer where there is no extent', () => {
    expect(fitHeightLine([])).toBeNull();
    expect(fitHeightLine([run([3, 3, 3], [0, 1, 2])])).toBeNull();
  });
});

describe('sign changes', () => {
  const wave = (height: number) =>
    Float64Array.from({ length: 400 }, (_, i) => height * Math.sin((2 * Math.PI * (i + 0.5)) / 100));

  test('of four waves are seven', () => expect(signChanges(wave(1), 0.1)).toBe(7));
  test('of waves within the band are none', () => expect(signChanges(wave(0.09), 0.1)).toBe(0));
  test('noise within the band adds none', () => {
    const noisy = wave(1).map((v, i) => v + (i % 2 === 0 ? 0.08 : -0.08));
    expect(signChanges(noisy, 0)).toBeGreaterThan(7);
    expect(signChanges(noisy, 0.1)).toBe(7);
  });
  test('a dip that comes back without crossing the band on the other side is none', () =>
    expect(signChanges(Float64Array.of(1, -0.05, 1, -0.2, 0.05, -0.3), 0.1)).toBe(1));
});
