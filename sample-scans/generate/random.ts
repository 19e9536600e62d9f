/** Seeded random numbers: the same seed knaps the same stone. */
export interface Random {
  /** Uniform in [low, high). */
  between(low: number, high: number): number;
  /** True with the given probability. */
  chance(probability: number): boolean;
  /** Standard normal deviate. */
  normal(): number;
}

/** Mulberry32: a 32-bit counter run through a mixing function; period 2³². */
export function createRandom(seed: number): Random {
  let state = seed >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  return {
    between: (low, high) => low + (high - low) * next(),
    chance: (probability) => next() < probability,
    // Box–Muller; 1 − next() keeps the logarithm finite.
    normal: () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
  };
}
