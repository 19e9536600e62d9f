/** Answer of a permutation test. */
export interface Permutation {
  /** Two-sided: share of all ways of dealing the values into the two groups whose means lie at least as far apart. */
  readonly p: number;
  /** Every way was tried; otherwise so many were drawn by a seeded generator. */
  readonly exact: boolean;
  readonly tried: number;
}

export interface PermutationSettings {
  /** All ways are tried when there are at most so many. */
  readonly exactUpTo: number;
  /** Ways drawn otherwise. */
  readonly draws: number;
  readonly seed: number;
}

export const DEFAULT_PERMUTATION: PermutationSettings = { exactUpTo: 20_000, draws: 9_999, seed: 1 };

/**
 * Permutation test of a difference of means (Fisher 1935; Pitman 1937). When the ways are drawn, the data as they are
 * count as one of them: p = (b + 1)/(m + 1) (Phipson & Smyth 2010), so that p is never 0. Values that are not finite are
 * left out; a group without values gives NaN.
 */
export function permutationTest(
  first: ArrayLike<number>,
  second: ArrayLike<number>,
  settings: PermutationSettings = DEFAULT_PERMUTATION,
): Permutation {
  const a = Float64Array.from(first).filter(Number.isFinite);
  const b = Float64Array.from(second).filter(Number.isFinite);
  if (a.length === 0 || b.length === 0) return { p: NaN, exact: true, tried: 0 };
  const centre = [...a, ...b].reduce((sum, value) => sum + value, 0) / (a.length + b.length);
  // About their centre, so that sums lose no figures; the smaller group is dealt.
  const pool = Float64Array.from([...a, ...b], (value) => value - centre);
  const size = Math.min(a.length, b.length);
  const own = a.length <= b.length ? pool.subarray(0, a.length) : pool.subarray(a.length);
  const observed = Math.abs(own.reduce((sum, value) => sum + value, 0));
  // With the whole sum at 0 the means differ by sum·(1/n₁ + 1/n₂): the sum alone orders the deals.
  const scale = pool.reduce((sum, value) => sum + Math.abs(value), 0);
  const least = observed - 1e-12 * scale;
  return waysUpTo(pool.length, size, settings.exactUpTo) <= settings.exactUpTo
    ? everyWay(pool, size, least)
    : drawnWays(pool, size, least, settings);
}

/** Ways to choose `size` of `n`, or any number above `most` once it is passed. */
function waysUpTo(n: number, size: number, most: number): number {
  let ways = 1;
  for (let i = 1; i <= size && ways <= most; i++) ways = (ways * (n - size + i)) / i;
  return Math.round(ways);
}

function everyWay(pool: Float64Array, size: number, least: number): Permutation {
  const chosen = Int32Array.from({ length: size }, (_, i) => i);
  let [far, tried] = [0, 0];
  for (;;) {
    let sum = 0;
    for (const i of chosen) sum += pool[i];
    tried++;
    if (Math.abs(sum) >= least) far++;
    let at = size - 1;
    while (at >= 0 && chosen[at] === pool.length - size + at) at--;
    if (at < 0) return { p: far / tried, exact: true, tried };
    chosen[at]++;
    for (let i = at + 1; i < size; i++) chosen[i] = chosen[i - 1] + 1;
  }
}

function drawnWays(
  pool: Float64Array,
  size: number,
  least: number,
  { draws, seed }: PermutationSettings,
): Permutation {
  const random = seeded(seed);
  const dealt = pool.slice();
  let far = 0;
  for (let draw = 0; draw < draws; draw++) {
    let sum = 0;
    for (let i = 0; i < size; i++) {
      const j = i + Math.floor(random() * (dealt.length - i));
      const value = dealt[j];
      dealt[j] = dealt[i];
      dealt[i] = value;
      sum += value;
    }
    if (Math.abs(sum) >= least) far++;
  }
  return { p: (far + 1) / (draws + 1), exact: false, tried: draws };
}

/** Uniform in [0, 1): Mulberry32, a 32-bit counter run through a mixing function. The same seed gives the same draws. */
function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}
