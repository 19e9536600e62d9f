import { createNoise, createRoughness } from './noise.ts';
import type { Blank } from './stone.ts';

/** Face A and Face B of a stone before the first blow. */
export type BlankFaces = readonly [Blank, Blank];

/** A water-worn cobble: length, width, thickness in mm. Its rind is pitted. */
export function cobble(size: { length: number; width: number; thickness: number }, seed: number): BlankFaces {
  return rounded(size, 2.3, seed, 0.55);
}

/** A tabular piece: flat faces with a rough rind, broken-off sides. */
export function slab(size: { length: number; width: number; thickness: number }, seed: number): BlankFaces {
  return rounded(size, 7, seed, 0.7);
}

function rounded(
  size: { length: number; width: number; thickness: number },
  power: number,
  seed: number,
  rough: number,
): BlankFaces {
  const warp = createNoise(seed, size.width * 0.6);
  const face = (k: number): Blank => {
    const swell = createNoise(seed + 17 * k, size.width * 0.45);
    const rind = createRoughness(seed + 31 * k, 9, 4, 0.55);
    const most = 0.09 * size.thickness + rough;
    return (x, y, ceiling) => {
      const px = Math.abs((2 * x) / size.width);
      const py = Math.abs((2 * y) / size.length);
      // Most asking is deep inside, where scars lie well below the rind: the least height it can have decides.
      if ((size.thickness / 2) * domeAt(px * WARPED, py * WARPED, power) - most > ceiling) return Infinity;
      const bulge = 1 + WARP * warp(x, y);
      const dome = domeAt(px * bulge, py * bulge, power);
      const inner = Math.min(1, 4 * Math.max(0, dome) ** 2);
      return (size.thickness / 2) * dome + (size.thickness * 0.12 * swell(x, y) + rough * rind(x, y)) * inner;
    };
  };
  return [face(1), face(2)];
}

/** How far the plan bulges from a rounded rectangle; noise is at most 0.71. */
const WARP = 0.22;
const WARPED = 1 + 0.71 * WARP;

/**
 * 1 in the middle, 0 with an upright wall on the curve |x|^2.5 + |y|^2.5 = 1, falling on beyond. `power` says how flat the
 * middle is.
 */
function domeAt(px: number, py: number, power: number): number {
  const s = px * px * Math.sqrt(px) + py * py * Math.sqrt(py);
  const q = 1 - s ** (power / 2.5);
  return q > 0 ? Math.sqrt(q) : 6 * q;
}

/**
 * A large flake, its bulb at the base (low y): Face A is the ridged dorsal face, Face B the smooth ventral face with bulb
 * and ripples.
 */
export function flakeBlank(
  size: { length: number; width: number; thickness: number },
  seed: number,
): BlankFaces {
  const wander = createNoise(seed, 22);
  const rind = createRoughness(seed + 5, 6, 3);
  const foot = -0.46 * size.length;
  const dorsal: Blank = (x, y) => {
    const ridge = 0.1 * size.width * Math.sin(y / 17) + 1.5;
    const left = 0.98 * size.thickness - 0.55 * Math.max(0, ridge - x) - 0.004 * (ridge - x) ** 2;
    const right = 0.98 * size.thickness - 0.42 * Math.max(0, x - ridge) - 0.006 * (x - ridge) ** 2;
    const far = size.thickness * (1.12 - Math.max(0, (y - 0.12 * size.length) / size.length) * 1.7);
    const heel = size.thickness * 0.8 + 1.1 * (y - foot);
    return Math.min(left, right, far + 0.01 * x, heel) + 0.5 * wander(x, y) + 0.12 * rind(x, y);
  };
  const ventral: Blank = (x, y) => {
    const r = Math.hypot(x, y - foot);
    const bulb =
      0.28 * size.thickness * Math.exp(-((x / (0.2 * size.width)) ** 2) - ((y - foot - 9) / 10) ** 2);
    const ripple = 0.055 * Math.min(1, r / 30) * Math.sin((2 * Math.PI * r) / (4 + 0.03 * r));
    return 0.8 + bulb - 0.0028 * x * x - 0.0018 * y * y + ripple;
  };
  return [dorsal, ventral];
}
