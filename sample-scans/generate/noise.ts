/** Smooth random height over the plane. */
export type Noise = (x: number, y: number) => number;

/**
 * Gradient noise (lattice of random slopes, quintic blend): about −0.7…0.7, smooth to the second derivative.
 * `scale` is the lattice step in mm.
 */
export function createNoise(seed: number, scale: number): Noise {
  const slope = (i: number, j: number): number => {
    let h = Math.imul(i, 0x27d4eb2d) ^ Math.imul(j, 0x165667b1) ^ Math.imul(seed, 0x9e3779b1);
    h = Math.imul(h ^ (h >>> 15), 0x85ebca6b);
    h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
    return ((h ^ (h >>> 16)) >>> 0) * (Math.PI / 2147483648);
  };
  const corner = (i: number, j: number, dx: number, dy: number): number => {
    const angle = slope(i, j);
    return Math.cos(angle) * dx + Math.sin(angle) * dy;
  };
  const blend = (t: number): number => t * t * t * (10 + t * (6 * t - 15));
  return (x, y) => {
    const u = x / scale;
    const v = y / scale;
    const i = Math.floor(u);
    const j = Math.floor(v);
    const fx = u - i;
    const fy = v - j;
    const bx = blend(fx);
    const low = corner(i, j, fx, fy) * (1 - bx) + corner(i + 1, j, fx - 1, fy) * bx;
    const high = corner(i, j + 1, fx, fy - 1) * (1 - bx) + corner(i + 1, j + 1, fx - 1, fy - 1) * bx;
    const by = blend(fy);
    return low * (1 - by) + high * by;
  };
}

/** Octaves of noise, each at half the scale and `fade` of the height of the one before. */
export function createRoughness(seed: number, scale: number, octaves: number, fade = 0.5): Noise {
  const layers = Array.from({ length: octaves }, (_, k) => createNoise(seed + 101 * k, scale / 2 ** k));
  return (x, y) => {
    let sum = 0;
    let weight = 1;
    for (const layer of layers) {
      sum += weight * layer(x, y);
      weight *= fade;
    }
    return sum;
  };
}
