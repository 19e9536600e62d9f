import { DEFAULT_MEASURE_SETTINGS } from '../../src/measures/settings.ts';
import type { FaceSpec, HumpSpec, Wave } from '../pieces/field.ts';
import type { OutlineShape } from '../pieces/outlines.ts';
import type { PieceSpec } from '../pieces/piece.ts';
import { createRandom, type Random } from '../pieces/random.ts';

/** Shapes with a length; a disc has no axis to compare. */
export const SHAPES: readonly OutlineShape[] = [
  'ovate',
  'lanceolate',
  'cordate',
  'triangular',
  'square-base',
  'side-notched',
  'barbed',
];

export interface Case {
  readonly name: string;
  readonly spec: PieceSpec;
}

/** A piece of the given plan shape with everything else drawn at random within section 14's conditions. */
export function randomCase(shape: OutlineShape, seed: number): Case {
  const random = createRandom(seed * 7919 + 17);
  // Points are notched and barbed when they are small and thin; all other shapes range from thick preforms to thin blades.
  const point = shape === 'side-notched' || shape === 'barbed';
  // Evenly over the logarithm: small pieces are as common as large ones.
  const length = point ? 35 * 3 ** random.next() : 45 * 4 ** random.next();
  const width = length / random.between(shape === 'cordate' ? 1.25 : 1.45, 2.6);
  const thickness = width / (point ? random.between(3.5, 6) : random.between(2, 5));
  const scars = random.next() < 0.75;
  const noise = random.next() < 0.75;
  const faces = drawFaces(thickness, width, random);
  const spec: PieceSpec = {
    outline: {
      shape,
      length,
      width,
      bow: random.between(-0.04, 0.04) * width,
      bulge: random.between(-0.12, 0.12),
      waviness: random.between(0, 0.012) * width,
    },
    ...faces,
    winding: {
      left: drawWaves(length, thickness, random),
      right: drawWaves(length, thickness, random),
    },
    ...(scars
      ? { scars: { count: Math.round(random.between(20, 60)), depth: random.between(0.15, 0.6) } }
      : {}),
    ...(noise
      ? {
          noise: {
            sigma: random.between(0.005, 0.05),
            direction: random.next() < 0.5 ? 'normal' : 'isotropic',
          },
        }
      : {}),
    triangles: Math.round(random.between(100, 200)) * 1000,
    seed,
  };
  return { name: `${shape} ${seed}`, spec };
}

function drawFaces(thickness: number, width: number, random: Random): { faceA: FaceSpec; faceB: FaceSpec } {
  const share = random.between(0.5, 0.85);
  const face = (height: number): FaceSpec => {
    // Mean slope from edge to middle, and a start steeper or gentler than it.
    const mean = (Math.atan(height / (width * 0.35)) * 180) / Math.PI;
    const kind = random.next();
    if (kind < 0.2) return { height, angle: Math.min(65, 1.2 * mean), ridge: 12 };
    return { height, angle: Math.min(70, mean * random.between(0.8, 2)) };
  };
  return { faceA: face(thickness * share), faceB: face(thickness * (1 - share)) };
}

/** Two waves to a side, from a slow bend to the zigzag of early work. Slopes stay below about 40°. */
function drawWaves(length: number, thickness: number, random: Random): Wave[] {
  const size = random.next() ** 2;
  return [random.between(0.4, 0.9), random.between(0.18, 0.35)].map((share) => {
    const wavelength = share * length;
    const amplitude = Math.min(8, 0.06 * wavelength, 0.5 * thickness) * size;
    return { amplitude, wavelength, phase: random.between(0, 2 * Math.PI) };
  });
}

/**
 * A piece with humps (none to four on both faces) that stand clear of the margin and of each other: prominence at least
 * 0.8 mm, twice the scar depth, and a fifth more than the share of the thickness that makes a hump; never flatter than 0.15 of the radius, below which a lump is only a thicker section.
 */
export function humpCase(shape: OutlineShape, seed: number): Case {
  const random = createRandom(seed * 104729 + 5);
  const base = randomCase(shape, seed + 1000);
  const { length, width } = base.spec.outline;
  const depth = random.between(0.1, 0.5);
  const thickness = base.spec.faceA.height + base.spec.faceB.height;
  const least = Math.max(0.8, 2 * depth, 1.2 * DEFAULT_MEASURE_SETTINGS.humpShare * thickness);
  const humps: HumpSpec[] = [];
  const count = Math.floor(random.between(0, 5));
  for (let tries = 0; tries < 200 && humps.length < count; tries++) {
    const prominence = random.between(least, Math.max(3, 1.5 * least));
    const radius = random.between(4, Math.min(9, prominence / 0.15, width * 0.3));
    const face = random.next() < 0.5 ? 'A' : 'B';
    const y = random.between(0.32, 0.7) * length;
    const x = random.between(-0.25, 0.25) * width;
    const room = roomAt(shape, x, y, length, width);
    const apart = humps.every((h) => h.face !== face || Math.hypot(h.x - x, h.y - y) > h.radius + radius + 3);
    if (radius > 3.5 && room > radius + 2 && apart) {
      humps.push({ face, x, y, prominence, radius, stepped: random.next() < 0.3 });
    }
  }
  return { name: `humps ${shape} ${seed}`, spec: { ...base.spec, scars: { count: 40, depth }, humps } };
}

/** A cautious distance from a point to the nearest margin, from the half-width that each shape keeps at that height. */
function roomAt(shape: OutlineShape, x: number, y: number, length: number, width: number): number {
  const t = y / length;
  const share =
    shape === 'triangular' || shape === 'barbed' ? 0.9 * (1 - t) : 0.85 * Math.min(1, 1.6 * (1 - t));
  return (share * width) / 2 - Math.abs(x);
}
