/** Seeded random numbers for test pieces: the same seed gives the same piece on every machine. */

export interface Random {
  /** Uniform in [0, 1). */
  next(): number;
  /** Uniform in [low, high). */
  between(low: number, high: number): number;
  /** Standard normal deviate. */
  normal(): number;
}

/** Mulberry32: a 32-bit counter run through a mixing function; period 2³². */
export function createRandom(seed: number): Random {
  let state = seed >>> 0;
  let spare: number | undefined;
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  return {
    next,
    between: (low, high) => low + (high - low) * next(),
    normal() {
      if (spare !== undefined) {
        const value = spare;
        spare = undefined;
        return value;
      }
      // Box–Muller; 1 − next() keeps the logarithm finite.
      const radius = Math.sqrt(-2 * Math.log(1 - next()));
      const angle = 2 * Math.PI * next();
      spare = radius * Math.sin(angle);
      return radius * Math.cos(angle);
    },
  };
}

/** Random order of 0…count−1 (Fisher–Yates). */
export function permutation(count: number, random: Random): Uint32Array {
  const order = new Uint32Array(count);
  for (let i = 0; i < count; i++) order[i] = i;
  for (let i = count - 1; i > 0; i--) {
    const j = Math.floor(random.next() * (i + 1));
    const kept = order[i];
    order[i] = order[j];
    order[j] = kept;
  }
  return order;
}

/** A rotation drawn evenly from all rotations: 9 numbers, row-major (from a random unit quaternion). */
export function randomRotation(random: Random): number[] {
  let [w, x, y, z] = [random.normal(), random.normal(), random.normal(), random.normal()];
  const length = Math.hypot(w, x, y, z);
  w /= length;
  x /= length;
  y /= length;
  z /= length;
  return [
    1 - 2 * (y * y + z * z),
    2 * (x * y - w * z),
    2 * (x * z + w * y),
    2 * (x * y + w * z),
    1 - 2 * (x * x + z * z),
    2 * (y * z - w * x),
    2 * (x * z - w * y),
    2 * (y * z + w * x),
    1 - 2 * (x * x + y * y),
  ];
}
