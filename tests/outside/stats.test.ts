import { describe, expect, test } from 'vitest';
import { agreement } from '../../src/drawer/statsAgreement.ts';
import { principalComponents } from '../../src/drawer/statsComponents.ts';
import { correct } from '../../src/drawer/statsCorrection.ts';
import { effect } from '../../src/drawer/statsEffect.ts';
import { intraclass, meanSquares } from '../../src/drawer/statsIcc.ts';
import { permutationTest } from '../../src/drawer/statsPermutation.ts';
import { places, summarise } from '../../src/drawer/statsSummary.ts';
import { ellipticFourier } from '../../src/geometry/ellipticFourier.ts';
import { createRandom } from '../pieces/random.ts';
import { askPython } from './python.ts';

const random = createRandom(606);
const draw = (n: number, mean: number, sd: number): number[] =>
  Array.from({ length: n }, () => mean + sd * random.normal());

const A = draw(9, 30, 4);
const B = draw(8, 34, 6);
/** Targets with their own level, judges with their own shift. */
const TABLE = draw(12, 50, 6).map((level) =>
  [0.4, -0.3, 0.9].map((shift) => level + shift + random.normal()),
);
const P = Array.from({ length: 15 }, () => random.next() ** 3);
const TIED = Array.from({ length: 40 }, () => Math.floor(random.between(0, 12)));
const MIXED = Array.from({ length: 60 }, () => {
  const [u, v] = [random.normal(), random.normal()];
  return [3 * u + 1, u - 2 * v, 0.5 * v, 0, 2 * u + v].map((x) => x + 0.2 * random.normal());
});

interface Answer {
  readonly permutation: number;
  readonly welch: readonly [number, number];
  readonly holm: readonly number[];
  readonly bh: readonly number[];
  readonly quartiles: readonly number[];
  readonly ranks: readonly number[];
  readonly variance: readonly number[];
  readonly axes: readonly (readonly number[])[];
  readonly squares: readonly number[];
  readonly icc: readonly (readonly [number, number])[];
  readonly t: number;
}

const answer = askPython<Answer>(
  `
import numpy as np
from scipy import stats
a, b, table, p = (np.array(data[k]) for k in ('a', 'b', 'table', 'p'))
test = stats.permutation_test((a, b), lambda x, y, axis: np.abs(np.mean(x, axis=axis) - np.mean(y, axis=axis)),
                              vectorized=True, n_resamples=np.inf, alternative='greater')
va, vb = a.var(ddof=1) / len(a), b.var(ddof=1) / len(b)
dfree = (va + vb) ** 2 / (va ** 2 / (len(a) - 1) + vb ** 2 / (len(b) - 1))
ci = stats.t.interval(.95, dfree, loc=b.mean() - a.mean(), scale=np.sqrt(va + vb))
m = len(p)
order = np.argsort(p)
holm = np.empty(m); holm[order] = np.minimum(1, np.maximum.accumulate((m - np.arange(m)) * p[order]))
bh = np.empty(m); bh[order] = np.minimum.accumulate((m / np.arange(1, m + 1) * p[order])[::-1])[::-1]
# One-way and two-way sums of squares by least squares on dummy variables.
n, k = table.shape
y = table.ravel()
T = np.kron(np.eye(n), np.ones((k, 1)))
J = np.kron(np.ones((n, 1)), np.eye(k))
rss = lambda X: float(np.sum((y - X @ np.linalg.lstsq(X, y, rcond=None)[0]) ** 2))
one = np.ones((n * k, 1))
within = rss(T) / (n * (k - 1))
error = rss(np.hstack([T, J])) / ((n - 1) * (k - 1))
between = (rss(one) - rss(T)) / (n - 1)
judge = (rss(one) - rss(J)) / (k - 1)
def ratio(top, bottom, d1, d2):
    f = top / bottom
    g = lambda f: (f - 1) / (f + k - 1)
    return [g(f / stats.f.ppf(.975, d1, d2)), g(f * stats.f.ppf(.975, d2, d1))]
rows = np.array(data['mixed'])
w, v = np.linalg.eigh(np.cov(rows.T))
print(json.dumps({
  'permutation': test.pvalue, 'welch': list(ci), 'holm': holm.tolist(),
  'bh': bh.tolist(),
  'quartiles': np.quantile(a, [0, .25, .5, .75, 1]).tolist(),
  'ranks': stats.rankdata(data['tied']).tolist(),
  'variance': w[::-1].tolist(), 'axes': v.T[::-1].tolist(),
  'squares': [between, within, judge, error],
  'icc': [ratio(between, within, n - 1, n * (k - 1)), ratio(between, error, n - 1, (n - 1) * (k - 1))],
  't': stats.t.ppf(.975, len(table) - 1),
}))`,
  { a: A, b: B, table: TABLE, p: P, tied: TIED, mixed: MIXED },
);

describe('statistics against scipy and numpy, seed 606', () => {
  test('exact permutation test', () => {
    const found = permutationTest(A, B);
    // 24 310 ways: a few more than are tried by default.
    expect(found.exact).toBe(false);
    const all = permutationTest(A, B, { exactUpTo: 30_000, draws: 0, seed: 0 });
    expect(all.tried).toBe(24_310);
    expect(all.p).toBeCloseTo(answer.permutation, 12);
    expect(Math.abs(found.p - all.p)).toBeLessThan(4 * Math.sqrt((all.p * (1 - all.p)) / found.tried));
  });

  test("Welch's interval", () => {
    const { differenceInterval } = effect(A, B);
    expect(differenceInterval.low).toBeCloseTo(answer.welch[0], 6);
    expect(differenceInterval.high).toBeCloseTo(answer.welch[1], 6);
  });

  test('corrections', () => {
    const found = [correct(P, 'holm'), correct(P, 'benjamini-hochberg')];
    [answer.holm, answer.bh].forEach((values, k) => {
      values.forEach((value, i) => {
        expect(found[k][i]).toBeCloseTo(value, 12);
      });
    });
  });

  test('quartiles and ranks', () => {
    const { min, q1, median, q3, max } = summarise(A);
    [min, q1, median, q3, max].forEach((value, i) => {
      expect(value).toBeCloseTo(answer.quartiles[i], 12);
    });
    places(TIED).forEach((place, i) => {
      expect(place * TIED.length + 0.5).toBeCloseTo(answer.ranks[i], 10);
    });
  });

  test('principal components: variances and axes', () => {
    const found = principalComponents(MIXED, 5);
    expect(found.axes.length).toBe(5);
    answer.variance.forEach((value, k) => {
      expect(found.variance[k]).toBeCloseTo(value, 9);
      const along = found.axes[k].reduce((sum, v, j) => sum + v * answer.axes[k][j], 0);
      expect(Math.abs(along)).toBeCloseTo(1, 9);
    });
    // The scores give the rows back.
    MIXED[7].forEach((value, j) => {
      const back = found.axes.reduce((sum, axis, k) => sum + found.scores[k][7] * axis[j], found.mean[j]);
      expect(back).toBeCloseTo(value, 9);
    });
  });

  test('mean squares by least squares on dummies, and intervals of the intraclass correlations', () => {
    const { between, within, judge, error } = meanSquares(TABLE);
    [between, within, judge, error].forEach((value, i) => {
      expect(value).toBeCloseTo(answer.squares[i], 8);
    });
    const found = intraclass(TABLE);
    [found[0], found[2]].forEach(({ interval }, i) => {
      expect(interval.low).toBeCloseTo(answer.icc[i][0], 6);
      expect(interval.high).toBeCloseTo(answer.icc[i][1], 6);
    });
  });

  test("Student's t in the limits of agreement", () => {
    const { bias, biasInterval, sd, n } = agreement(
      TABLE.map((row) => row[0]),
      TABLE.map((row) => row[1]),
    );
    expect((biasInterval.high - bias) / (sd / Math.sqrt(n))).toBeCloseTo(answer.t, 6);
  });
});

test("elliptic Fourier coefficients against numpy's fast Fourier transform of the same outline", () => {
  // An uneven polygon; 2^17 points at equal steps of arc length carry the harmonics to about 1e-8 of its size.
  const ring = Array.from({ length: 37 }, (_, i) => {
    const t = (2 * Math.PI * (i + 0.4 * random.next())) / 37;
    const r = 30 + 4 * Math.sin(3 * t) + random.normal();
    return [0.6 * r * Math.cos(t), r * Math.sin(t)];
  });
  const found = ellipticFourier(Float64Array.from(ring.flat()), 20);
  const fft = askPython<{ a: number[]; b: number[]; c: number[]; d: number[] }>(
    `
import numpy as np
p = np.array(data)
q = np.vstack([p, p[:1]])
s = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(q, axis=0).T))])
n = 2 ** 17
at = np.arange(n) * s[-1] / n
X, Y = (np.fft.rfft(np.interp(at, s, q[:, k]))[1:21] * 2 / n for k in (0, 1))
print(json.dumps({'a': X.real.tolist(), 'b': (-X.imag).tolist(), 'c': Y.real.tolist(), 'd': (-Y.imag).tolist()}))`,
    ring,
  );
  for (const part of ['a', 'b', 'c', 'd'] as const) {
    fft[part].forEach((value, h) => {
      expect(found[part][h], `${part}${h + 1}`).toBeCloseTo(value, 6);
    });
  }
});
