import { describe, expect, test } from 'vitest';
import { meshProperties } from './meshProperties.ts';
import { makePiece, type PieceSpec } from './piece.ts';

const SHAPES = [
  'ovate',
  'lanceolate',
  'cordate',
  'triangular',
  'square-base',
  'side-notched',
  'barbed',
  'disc',
] as const;

const spec = (
  shape: (typeof SHAPES)[number],
  triangles: number,
  more: Partial<PieceSpec> = {},
): PieceSpec => ({
  outline: { shape, length: 90, width: shape === 'disc' ? 90 : 45, waviness: 0.6, bow: 1.2 },
  seed: 7,
  triangles,
  faceA: { height: 7, angle: 26 },
  faceB: { height: 5, angle: 20 },
  winding: {
    left: [{ amplitude: 2, wavelength: 31, phase: 0.4 }],
    right: [{ amplitude: 1.5, wavelength: 23, phase: 2 }],
  },
  ...more,
});

describe('a test piece', () => {
  test.each(SHAPES)(
    '%s is closed, consistently wound, outward, and has about the asked number of triangles',
    (shape) => {
      const piece = makePiece(spec(shape, 20_000, { scars: { count: 40, depth: 0.5 } }));
      const mesh = meshProperties(piece.mesh);
      expect(mesh.closed).toBe(true);
      expect(mesh.eulerCharacteristic).toBe(2);
      expect(mesh.volume).toBeGreaterThan(0);
      expect(Math.abs(piece.mesh.triangles.length / 3 / 20_000 - 1)).toBeLessThan(0.12);
    },
  );

  test('the volume of the mesh tends to the exact one as the square of the triangle size', () => {
    const error = (triangles: number) => {
      const piece = makePiece(spec('lanceolate', triangles));
      return Math.abs(meshProperties(piece.mesh).volume / piece.truth.volume - 1);
    };
    const [coarse, middle, fine] = [2_000, 12_000, 72_000].map(error);
    expect(fine).toBeLessThan(4e-4);
    expect(middle / fine).toBeGreaterThan(3);
    expect(coarse / middle).toBeGreaterThan(3);
  });

  test('the exact volume has converged', () => {
    const { truth } = makePiece(spec('lanceolate', 2000, { scars: { count: 40, depth: 0.5 } }));
    expect(Math.abs(truth.volumeBy(1000, 200) / truth.volume - 1)).toBeLessThan(1e-5);
  });

  test('toFrame is rigid and puts every vertex of a clean mesh on the exact surface', () => {
    const piece = makePiece(spec('square-base', 4000, { scars: { count: 30, depth: 0.4 } }));
    const truth = piece.truth.axes.mirror;
    const m = piece.toFrame;
    const p = piece.mesh.positions;
    let checked = 0;
    for (let v = 0; v < p.length; v += 3) {
      const [x, y, z] = [0, 1, 2].map(
        (k) => m[k] * p[v] + m[4 + k] * p[v + 1] + m[8 + k] * p[v + 2] + m[12 + k],
      );
      const at = truth.surfaceAt(x, y);
      // At the very edge a sparse ring cuts the polygon's corners.
      if (at === undefined || at.a - at.b < 1) continue;
      expect(Math.min(Math.abs(z - at.a), Math.abs(z - at.b))).toBeLessThan(1e-6);
      checked++;
    }
    expect(checked).toBeGreaterThan(1500);
  });

  test.each(['base', 'tip'] as const)(
    'a snapped piece that kept its %s is closed and has the exact volume',
    (keep) => {
      const piece = makePiece(spec('lanceolate', 40_000, { snap: { y: 52, keep } }));
      const mesh = meshProperties(piece.mesh);
      expect(mesh.closed).toBe(true);
      expect(mesh.eulerCharacteristic).toBe(2);
      expect(Math.abs(mesh.volume / piece.truth.volume - 1)).toBeLessThan(1e-3);
      const whole = makePiece(spec('lanceolate', 2000)).truth;
      expect(piece.truth.volume).toBeLessThan(0.8 * whole.volume);
    },
  );

  test('a hole opens the scan and leaves the rest as it was', () => {
    const hole = { face: 'A', x: 3, y: 40, radius: 4 } as const;
    const open = makePiece(spec('ovate', 20_000, { holes: [hole] }));
    const whole = makePiece(spec('ovate', 20_000));
    expect(meshProperties(open.mesh).closed).toBe(false);
    const lost = meshProperties(whole.mesh).surface - meshProperties(open.mesh).surface;
    expect(lost / (Math.PI * 16)).toBeGreaterThan(0.95);
    expect(lost / (Math.PI * 16)).toBeLessThan(1.1);
  });

  test('the axes agree with a mirror-symmetric outline, whose axis is known', () => {
    const symmetric = { shape: 'lanceolate', length: 90, width: 45 } as const;
    const { axes } = makePiece(spec('lanceolate', 2000, { outline: symmetric })).truth;
    for (const axis of [axes.mirror, axes.principal, axes.longest]) {
      expect(axis.length).toBeCloseTo(90, 3);
      expect(axis.width).toBeCloseTo(45, 1);
      for (const y of [10, 30, 60, 80]) {
        const { left, right } = axis.halfWidths(y);
        expect(Math.abs(left - right)).toBeLessThan(0.01);
      }
    }
  });
});
