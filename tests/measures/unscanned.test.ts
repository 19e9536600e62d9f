import { describe, expect, it } from 'vitest';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { readScan } from '../../src/intake/readScan.ts';
import { measure } from '../../src/measures/measure.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { traceScan } from '../../src/trace/traceScan.ts';
import { without } from '../intake/support/shapes.ts';
import { writePlyBinary } from '../intake/support/writePly.ts';
import { makePiece } from '../pieces/piece.ts';

const piece = makePiece({
  outline: { shape: 'lanceolate', length: 90, width: 42, waviness: 0, bow: 0 },
  seed: 12,
  triangles: 40_000,
  pose: 'design',
  faceA: { height: 7, angle: 28 },
  faceB: { height: 4.5, angle: 20 },
}).mesh;

/** What is measured of a mesh whose holes stay open, or are closed as they are by default. */
function measured(mesh: TriangleMesh, holeLimit: number) {
  const scan = readScan(writePlyBinary(mesh), { ...DEFAULT_SETTINGS.scan, unit: 'mm', holeLimit });
  const { measurements, warnings } = measure(
    traceScan(scan, DEFAULT_SETTINGS.trace),
    DEFAULT_SETTINGS.measure,
  );
  const row = (id: string) => measurements.find((m) => m.id === id)!;
  return {
    of: (id: string) => row(id).value as number,
    u: (id: string) => row(id).u as number,
    codes: warnings.map(({ code }) => code),
  };
}

/** The margin's outermost place on the right, and the mesh without what lies within `radius` of it. */
function bitten(radius: number): TriangleMesh {
  const { positions: p } = piece;
  let at = 0;
  for (let i = 3; i < p.length; i += 3) if (p[i] > p[at]) at = i;
  const isNear = (v: number): boolean =>
    Math.hypot(p[3 * v] - p[at], p[3 * v + 1] - p[at + 1], p[3 * v + 2] - p[at + 2]) < radius;
  return without(piece, (t) => [0, 1, 2].some((k) => isNear(piece.triangles[3 * t + k])));
}

describe('a margin that runs along a hole', () => {
  const whole = measured(piece, 0);

  it.each([1.5, 3])(
    'with a bite of %d mm out of it has what may be missing in its uncertainties',
    (radius) => {
      const open = measured(bitten(radius), 0);
      for (const id of ['width', 'area', 'perimeter']) {
        const error = Math.abs(open.of(id) - whole.of(id));
        expect(error).toBeLessThan(2.5 * open.u(id));
        expect(open.u(id)).toBeGreaterThan(3 * whole.u(id));
      }
      // Far from it nothing is missing.
      expect(open.u('width.at.90')).toBeLessThan(0.1);
    },
  );

  it('all round, of one face alone, tells nothing of what is missing, and says so', () => {
    const centre = (t: number): number =>
      [0, 1, 2].reduce((sum, k) => sum + piece.positions[3 * piece.triangles[3 * t + k] + 2], 0);
    const face = measured(
      without(piece, (t) => centre(t) < 0),
      0,
    );
    expect(face.codes).toContain('margin-open');
    expect(face.u('area')).toBeLessThan(0.01 * face.of('area'));
  });

  it('holds nothing more where all was scanned', () => {
    const closed = measured(piece, DEFAULT_SETTINGS.scan.holeLimit);
    for (const id of ['length', 'width', 'area']) expect(closed.u(id)).toBe(whole.u(id));
  });
});
