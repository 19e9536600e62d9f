import { describe, expect, it } from 'vitest';
import { lineAngle } from '../../src/geometry/basis.ts';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import type { Vector3 } from '../../src/geometry/symmetricEigen.ts';
import type { Matrix4, TriangleMesh } from '../../src/geometry/types.ts';
import { DEFAULT_TRACE_SETTINGS } from '../../src/trace/settings.ts';
import { traceScan } from '../../src/trace/traceScan.ts';
import type { Model, TraceSettings } from '../../src/trace/types.ts';
import { toScan } from '../accuracy/toScan.ts';
import { makePiece, type PieceSpec } from '../pieces/piece.ts';
import { ellipsoid, lensDisc, ring, tablet } from '../pieces/solids.ts';

const SPEC: PieceSpec = {
  outline: { shape: 'lanceolate', length: 90, width: 42, waviness: 0.5, bow: 1.5 },
  seed: 11,
  triangles: 40_000,
  faceA: { height: 7, angle: 28 },
  faceB: { height: 4.5, angle: 20 },
  winding: {
    left: [{ amplitude: 2.5, wavelength: 31, phase: 0.4 }],
    right: [{ amplitude: 2, wavelength: 23, phase: 2 }],
  },
};

const trace = (mesh: TriangleMesh, settings: Partial<TraceSettings> = {}): Model =>
  traceScan(toScan(mesh), { ...DEFAULT_TRACE_SETTINGS, ...settings });

const row = (m: Matrix4, k: number): Vector3 => [m[k], m[4 + k], m[8 + k]];

const codes = (model: Model): string[] => model.warnings.map((w) => w.code);

describe('traceScan on a piece with exact truth, in any pose', () => {
  const piece = makePiece(SPEC);
  const truth = piece.truth.axes.mirror;
  const model = trace(piece.mesh);

  it('finds the margin plane and the mirror axis to 0.05°', () => {
    expect(lineAngle(row(model.frame.rigid, 2), [...piece.truth.normal] as unknown as Vector3)).toBeLessThan(
      0.05,
    );
    expect(lineAngle(row(model.frame.rigid, 1), row(truth.toFrame, 1))).toBeLessThan(0.05);
  });

  it('has no doubts where there is no noise, and tells noise that is coarse against the spacing of points', () => {
    expect(codes(model)).toEqual([]);
    const noisy = makePiece({
      ...SPEC,
      outline: { shape: 'lanceolate', length: 30, width: 14 },
      faceA: { height: 2.4, angle: 28 },
      faceB: { height: 1.5, angle: 20 },
      winding: {},
      triangles: 30_000,
      noise: { sigma: 0.08, direction: 'normal' },
    });
    expect(codes(trace(noisy.mesh))).toContain('noise-coarse');
  });

  it('turns Face A up, the tip to +y and x to the right, as the truth has them', () => {
    for (const k of [0, 1, 2]) {
      const [a, b] = [row(model.frame.rigid, k), row(truth.toFrame, k)];
      expect(a[0] * b[0] + a[1] * b[1] + a[2] * b[2]).toBeGreaterThan(0.999);
    }
  });

  it('has length, area and half-widths of the exact outline', () => {
    expect(model.length).toBeCloseTo(truth.length, 1);
    expect(Math.abs(polygonMoments([model.outline.outer]).area / piece.truth.area - 1)).toBeLessThan(1e-3);
    const { y, leftX, rightX } = model.midline;
    let sumSq = 0;
    for (let k = 4; k < y.length - 4; k++) {
      const { left, right } = truth.halfWidths(y[k]);
      sumSq += (rightX[k] + leftX[k] - (right - left)) ** 2;
    }
    expect(Math.sqrt(sumSq / (y.length - 8))).toBeLessThan(0.05);
  });

  it('orders the margin from the tip down the right side, closed, with the sides named', () => {
    const { points, arc, side } = model.margin ?? { points: [], arc: [], side: [] };
    expect(points[1]).toBeCloseTo(model.length, 9);
    expect(side[0]).toBe(2);
    const quarter = Math.round(arc.length / 4);
    expect(points[3 * quarter]).toBeGreaterThan(0);
    expect(side[quarter]).toBe(1);
    expect(side[3 * quarter]).toBe(0);
    for (let i = 1; i < arc.length; i++) expect(arc[i]).toBeGreaterThan(arc[i - 1]);
  });

  it('carries the file to the frame by its matrix', () => {
    const m = model.frame.matrix;
    const p = piece.mesh.positions;
    const q = model.surface?.mesh.positions ?? new Float64Array();
    let low = Infinity;
    for (let i = 1; i < q.length; i += 3) low = Math.min(low, q[i]);
    expect(low).toBeCloseTo(0, 1);
    let lowest = Infinity;
    for (let i = 0; i < p.length; i += 3) {
      lowest = Math.min(lowest, m[1] * p[i] + m[5] * p[i + 1] + m[9] * p[i + 2] + m[13]);
    }
    expect(lowest).toBeCloseTo(low, 4);
  });

  it('flips face and tip without changing a magnitude', () => {
    const face = trace(piece.mesh, { flipFace: true });
    const tip = trace(piece.mesh, { flipTip: true });
    for (const other of [face, tip]) {
      expect(other.length).toBeCloseTo(model.length, 9);
      expect(polygonMoments([other.outline.outer]).area).toBeCloseTo(
        polygonMoments([model.outline.outer]).area,
        6,
      );
    }
    const last = model.midline.x.length - 1;
    for (const k of [20, 100, 150]) {
      expect(face.midline.x[k]).toBeCloseTo(-model.midline.x[k], 6);
      expect(tip.midline.x[k]).toBeCloseTo(-model.midline.x[last - k], 6);
    }
    expect(face.frame.faceA).toBe('flipped');
    expect(tip.frame.tip).toBe('flipped');
  });

  it('sees the other automatic axes where they are', () => {
    for (const axis of ['principal', 'longest'] as const) {
      const other = trace(piece.mesh, { axis });
      const turn = lineAngle(row(other.frame.rigid, 1), row(model.frame.rigid, 1));
      expect(Math.abs(model.frame.axes[axis].angle)).toBeCloseTo(turn, 6);
      expect(lineAngle(row(other.frame.rigid, 1), row(piece.truth.axes[axis].toFrame, 1))).toBeLessThan(0.1);
      expect(other.frame.axes[axis].angle).toBeCloseTo(0, 9);
      expect(other.frame.axes[axis].x).toBeCloseTo(0, 9);
    }
  });

  it('takes a placed axis, and a nudge on top of any', () => {
    const inverse = (y: number): [number, number, number] => {
      const { rigid: r } = model.frame;
      const d = [0 - r[12], y - r[13], 0 - r[14]];
      const at = (k: number): number => r[4 * k] * d[0] + r[4 * k + 1] * d[1] + r[4 * k + 2] * d[2];
      return [at(0), at(1), at(2)];
    };
    const placed = trace(piece.mesh, { axis: 'tip-base', base: inverse(0), tip: inverse(model.length) });
    expect(placed.length).toBeCloseTo(model.length, 6);
    expect(placed.midline.x[100]).toBeCloseTo(model.midline.x[100], 4);
    const nudged = trace(piece.mesh, { nudgeAngle: 2, nudgeShift: 0.5 });
    expect(lineAngle(row(nudged.frame.rigid, 1), row(model.frame.rigid, 1))).toBeCloseTo(2, 6);
    // To the right as the piece is laid, whichever end is up and whichever face is seen.
    for (const flips of [{}, { flipTip: true }, { flipFace: true }, { flipTip: true, flipFace: true }]) {
      const [at, moved] = [0, 0.5].map(
        (nudgeShift) => trace(piece.mesh, { ...flips, nudgeShift }).midline.x[100],
      );
      expect(moved - at).toBeCloseTo(-0.5, 6);
      const [straight, turned] = [0, 1].map(
        (nudgeAngle) => trace(piece.mesh, { ...flips, nudgeAngle }).midline,
      );
      // The axis turns counter-clockwise: beside it the piece turns the other way, its tip to the right.
      expect(turned.x[180] - straight.x[180]).toBeGreaterThan(turned.x[20] - straight.x[20] + 0.5);
    }
    expect(() => trace(piece.mesh, { axis: 'tip-base' })).toThrow(/placed base midpoint/);
    const alike = { axis: 'tip-base', base: inverse(0), tip: inverse(0.01 * model.length) } as const;
    expect(() => trace(piece.mesh, alike)).toThrow(/nearly on each other/);
  });
});

describe('traceScan on solids', () => {
  it('an ellipsoid has its equator for margin', () => {
    const model = trace(ellipsoid({ a: 20, b: 40, c: 8, triangles: 60_000 }));
    expect(model.length).toBeCloseTo(80, 1);
    const z = (model.margin?.points ?? new Float64Array()).filter((_, i) => i % 3 === 2);
    expect(Math.sqrt(z.reduce((s, v) => s + v * v, 0) / z.length)).toBeLessThan(0.05);
  });

  it('a tablet has its margin at the middle of its walls', () => {
    const model = trace(tablet({ length: 60, width: 30, thickness: 10, triangles: 20_000 }));
    expect(model.length).toBeCloseTo(60, 2);
    for (let i = 2; i < (model.margin?.points.length ?? 0); i += 3) {
      expect(Math.abs(model.margin?.points[i] ?? 9)).toBeLessThan(0.5);
    }
  });

  it('a round lens has no axis, and says so', () => {
    expect(codes(trace(lensDisc({ diameter: 50, sagitta: 5, triangles: 20_000 })))).toContain(
      'axis-undefined',
    );
  });

  it('a drilled disc keeps its hole', () => {
    const model = trace(ring({ outer: 30, inner: 10, sagitta: 3, triangles: 20_000 }));
    expect(model.outline.inner.length).toBe(1);
    expect(polygonMoments([model.outline.inner[0]]).area).toBeLessThan(0);
  });

  it('the two ends of an ellipsoid are alike, and it says so', () => {
    expect(codes(trace(ellipsoid({ a: 20, b: 40, c: 8, triangles: 20_000 })))).toContain('ends-alike');
  });
});
