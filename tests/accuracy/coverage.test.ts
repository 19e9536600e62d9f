import { describe, expect, test } from 'vitest';
import { createRandom } from '../pieces/random.ts';
import { randomCase } from './cases.ts';
import { coverageBy, type Held, holdPiece } from './coverage.ts';

const drawn = (factor: number): Held[] => {
  const random = createRandom(9);
  return Array.from({ length: 4000 }, () => ({
    id: 'x',
    family: 'f',
    error: factor * random.normal(),
    u: 1,
    main: 'noise',
    where: '',
  }));
};

describe('coverage of the truth by stated uncertainties', () => {
  test('normal errors of the stated size are honest; twice or half as large ones are not', () => {
    const [honest] = coverageBy(drawn(1), ({ family }) => family);
    // 0.683 and 0.954 of a normal distribution, to four standard errors of 4000 draws.
    expect(Math.abs(honest.one - 0.6827)).toBeLessThan(0.03);
    expect(Math.abs(honest.two - 0.9545)).toBeLessThan(0.014);
    expect(honest.met).toBe(true);
    for (const factor of [0.5, 2]) expect(coverageBy(drawn(factor), () => 'all')[0].met).toBe(false);
  });

  test('a piece gives an error and its u for every measure that has an exact value', () => {
    const held = holdPiece(randomCase('ovate', 5001));
    expect(held.length).toBeGreaterThan(60);
    const [all] = coverageBy(held, () => 'all');
    // One piece shows no more than that errors are not far beyond what is stated.
    expect(all.two).toBeGreaterThan(0.8);
    for (const { u, id } of held) expect(u, id).toBeGreaterThan(0);
  });
});
