import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  ellipse,
  lens,
  type ModelSpec,
  measured,
  mirroredX,
  modelOf,
  points,
  rectangle,
  scaled,
  subdivided,
  turned,
} from './support/model.ts';

const near = (value: number, truth: number, relative: number): void => {
  expect(Math.abs(value - truth)).toBeLessThanOrEqual(relative * Math.max(Math.abs(truth), 1e-6));
};

describe('outline, closed forms', () => {
  it('of an ellipse', () => {
    const [a, b] = [20, 50];
    const m = measured({ outer: ellipse(a, b) });
    near(m.of('length'), 2 * b, 1e-12);
    near(m.of('width'), 2 * a, 1e-6);
    near(m.of('width.station'), 50, 1e-3);
    for (const station of [10, 20, 25, 30, 40, 50, 60, 70, 75, 80, 90]) {
      near(m.of(`width.at.${station}`), 2 * a * Math.sqrt(1 - (station / 50 - 1) ** 2), 1e-5);
    }
    near(m.of('feret.max'), 2 * b, 1e-6);
    near(m.of('feret.min'), 2 * a, 1e-5);
    near(m.of('area'), Math.PI * a * b, 1e-5);
    // Ramanujan's second series (memory); its error is below 1e-6 at this flattening.
    const h = ((b - a) / (b + a)) ** 2;
    const around = Math.PI * (a + b) * (1 + (3 * h) / (10 + Math.sqrt(4 - 3 * h)));
    near(m.of('perimeter'), around, 2e-5);
    near(m.of('circularity'), (2 * Math.PI * Math.sqrt(a * b)) / around, 3e-5);
    near(m.of('solidity'), 1, 1e-9);
    near(m.of('elongation'), b / a, 1e-6);
    // The tip's radius of curvature is a²/b at the very end and grows away from it.
    expect(m.of('tip.radius')).toBeGreaterThan((a * a) / b);
    expect(m.of('tip.radius')).toBeLessThan((1.1 * a * a) / b);
    // Sagitta of 5 % of the length over the chord there; the parabola takes off under 1 %.
    const chord = 2 * a * Math.sqrt(1 - 0.9 ** 2);
    near(m.of('base.shape'), (0.05 * 2 * b) / chord, 0.01);
  });

  it('of a circle: circularity 1, tip radius exact', () => {
    const m = measured({ outer: ellipse(30, 30) });
    near(m.of('circularity'), 1, 1e-5);
    near(m.of('perimeter'), 60 * Math.PI, 1e-5);
    near(m.of('tip.radius'), 30, 1e-4);
    near(m.of('feret.min'), 60, 1e-5);
  });

  it('of a square: what smoothing takes off its corners grows with the scale, nothing else', () => {
    const square = rectangle(40, 40);
    const raw = measured({ outer: square }, { perimeterScale: 0 });
    near(raw.of('perimeter'), 160, 1e-12);
    near(raw.of('circularity'), Math.sqrt(Math.PI) / 2, 1e-12);
    near(raw.of('feret.max'), 40 * Math.SQRT2, 1e-12);
    near(raw.of('feret.min'), 40, 1e-12);
    const loss = [0.5, 1, 2].map(
      (s) => 160 - measured({ outer: square }, { perimeterScale: s }).of('perimeter'),
    );
    expect(loss[0]).toBeGreaterThan(0);
    near(loss[1], 2 * loss[0], 0.02);
    near(loss[2], 4 * loss[0], 0.02);
    expect(raw.of('base.shape')).toBeCloseTo(0, 9);
  });

  it('of a triangle: tip angle, widths by similar triangles', () => {
    const m = measured({ outer: points([-15, 0], [15, 0], [0, 80]) });
    near(m.of('tip.angle'), (2 * Math.atan(15 / 80) * 180) / Math.PI, 1e-9);
    expect(m.of('width')).toBe(30);
    expect(m.of('width.station')).toBe(0);
    near(m.of('width.at.25'), 22.5, 1e-12);
    near(m.of('area'), 1200, 1e-12);
    near(m.of('feret.min'), 1200 / (Math.hypot(15, 80) / 2), 1e-12);
    const skew = measured({ outer: points([-15, 0], [15, 0], [15, 80]) });
    near(skew.of('tip.angle'), (Math.atan(30 / 80) * 180) / Math.PI, 1e-9);
  });

  it('of a lens: the tip angle is that of its arcs where they are fitted', () => {
    const [length, width] = [100, 30];
    const m = measured({ outer: lens(length, width) });
    near(m.of('length'), length, 1e-12);
    near(m.of('width'), width, 1e-9);
    const radius = (length * length) / (4 * width) + width / 4;
    const half = Math.asin(length / (2 * radius));
    near(m.of('area'), radius * radius * (2 * half - Math.sin(2 * half)), 1e-5);
    // Over 2–15 % below the tip the lines are chords, so that the angle is less than at the very tip: 2·half.
    const corner = (2 * half * 180) / Math.PI;
    expect(m.of('tip.angle')).toBeLessThan(corner);
    // An arc's least-squares line runs like its tangent half-way along: mean of the directions at both ends.
    const middle =
      ((Math.asin((0.35 * length) / radius) + Math.asin((0.48 * length) / radius)) * 180) / Math.PI;
    near(m.of('tip.angle'), middle, 1e-4);
  });

  it('of a stadium: tip radius is the radius of its end', () => {
    const ring: [number, number][] = [
      [-10, 10],
      [-10, 0],
      [10, 0],
      [10, 60],
    ];
    for (let k = 1; k < 300; k++) {
      const a = (Math.PI * k) / 300;
      ring.push([10 * Math.cos(a), 60 + 10 * Math.sin(a)]);
    }
    ring.push([-10, 60]);
    near(measured({ outer: points(...ring) }).of('tip.radius'), 10, 1e-4);
  });

  it('the base: convex positive, straight 0, concave negative, by the sagitta of a parabola', () => {
    const withBase = (y: (x: number) => number): ModelSpec => ({
      outer: points(
        ...Array.from({ length: 201 }, (_, i): [number, number] => [(i - 100) / 10, y((i - 100) / 10)]),
        [6, 90],
        [-6, 90],
      ),
    });
    const convex = measured(withBase((x) => 0.02 * x * x)).of('base.shape');
    const straight = measured(withBase(() => 0)).of('base.shape');
    const concave = measured(withBase((x) => 3 - 0.03 * x * x)).of('base.shape');
    expect(straight).toBeCloseTo(0, 9);
    // Over a chord c the sagitta of y = kx² is k·c²/4.
    const chord = (m: ModelSpec): number => {
      const { of } = measured(m);
      return of('width.at.10') + (of('width.at.10') - of('width.at.20')) / 2;
    };
    near(convex, (0.02 * chord(withBase((x) => 0.02 * x * x))) / 4, 0.02);
    near(concave, (-0.03 * chord(withBase((x) => 3 - 0.03 * x * x))) / 4, 0.02);
  });

  it('takes the outermost margins over a notch, and holes off the area', () => {
    const notched = points([-10, 0], [10, 0], [10, 18], [2, 20], [10, 22], [10, 60], [-10, 60]);
    const m = measured({
      outer: notched,
      inner: [scaled(rectangle(4, 4), 1).map((v, i) => v + (i % 2 ? 40 : 0))],
    });
    near(m.of('width.at.20'), 20, 1e-12);
    near(m.of('area'), 1200 - 16 - 16, 1e-12);
    near(m.of('solidity'), (1200 - 32) / 1200, 1e-12);
    // Halfway up the notch only the left part is cut by the chord, to the notch's floor.
    near(
      measured({ outer: points([-10, 0], [10, 0], [10, 10], [2, 15], [10, 20], [10, 30], [-10, 30]) }).of(
        'width.at.50',
      ),
      12,
      1e-12,
    );
  });

  it('says why where it does not apply, and never NaN', () => {
    const straight = measured({ outer: subdivided(rectangle(30, 60), 3) });
    for (const row of straight.measurements) {
      if (row.value === null) expect(row.reason).toBeTruthy();
      else if (typeof row.value === 'number') expect(Number.isFinite(row.value)).toBe(true);
    }
    expect(straight.of('tip.angle')).toBeCloseTo(0, 9);
    // Horns at both sides of a hollow end: the circle's centre lies beyond the tip.
    const rim = Array.from({ length: 101 }, (_, i): [number, number] => {
      const x = 20 - i * 0.4;
      return [x, 80 + 0.0025 * (x * x - 400)];
    });
    const hollow = measured({ outer: points([-20, 0], [20, 0], ...rim) });
    expect(hollow.row('tip.radius').value).toBeNull();
    expect(hollow.row('tip.radius').reason).toContain('hollow');
  });

  it('a marked break at the tip makes the length a least one and takes the tip’s measures away', () => {
    const model = modelOf({ outer: subdivided(rectangle(30, 60), 20), hasMargin: true });
    const m = measured(model, { breaks: [[model.margin!.length - 15, 15]] });
    expect(m.row('length').minimum).toBe(true);
    expect(m.row('tip.angle').value).toBeNull();
    expect(m.row('tip.radius').value).toBeNull();
    expect(m.row('base.shape').value).not.toBeNull();
    const whole = measured(model);
    expect(whole.row('length').minimum).toBeUndefined();
  });
});

/** Star-shaped rings about the origin, longer than wide, without axis symmetry. */
const ring = fc
  .array(fc.double({ min: 0.7, max: 1.3, noNaN: true }), { minLength: 12, maxLength: 40 })
  .map((radii) =>
    Float64Array.from(
      radii.flatMap((r, i) => {
        const a = (2 * Math.PI * i) / radii.length;
        return [20 * r * Math.sin(a), -45 * r * Math.cos(a)];
      }),
    ),
  );
const free = ['feret.max', 'feret.min', 'area', 'perimeter', 'circularity', 'solidity'];
const runs = { numRuns: 25, seed: 11 };

describe('outline, properties', () => {
  it('turning changes nothing that is free of the axis', () => {
    fc.assert(
      fc.property(ring, fc.double({ min: -180, max: 180, noNaN: true }), (outer, angle) => {
        const a = measured({ outer });
        const b = measured({ outer: turned(outer, angle) });
        for (const id of free) near(b.of(id), a.of(id), 1e-9);
      }),
      runs,
    );
  });

  it('mirroring left to right changes nothing at all', () => {
    fc.assert(
      fc.property(ring, (outer) => {
        const a = measured({ outer });
        const b = measured({ outer: mirroredX(outer) });
        const ids = a.measurements
          .map((row) => row.id)
          .filter((id) => /^(length|width|feret|area|peri|circ|solid|elong|tip|base)/.test(id));
        for (const id of ids) {
          if (a.row(id).value === null) expect(b.row(id).value).toBeNull();
          else near(b.of(id), a.of(id), /^(perimeter|circularity)/.test(id) ? 1e-4 : 1e-7);
        }
      }),
      runs,
    );
  });

  it('scaling follows the power of each row', () => {
    fc.assert(
      fc.property(ring, fc.double({ min: 0.3, max: 4, noNaN: true }), (outer, k) => {
        const a = measured({ outer }, { perimeterScale: 0.5 });
        const b = measured({ outer: scaled(outer, k) }, { perimeterScale: 0.5 * k });
        const power: Record<string, number> = {
          length: 1,
          width: 1,
          area: 2,
          perimeter: 1,
          'tip.radius': 1,
          'tip.angle': 0,
          'base.shape': 0,
          'feret.min': 1,
        };
        for (const [id, p] of Object.entries(power)) {
          if (a.row(id).value === null) continue;
          near(b.of(id), a.of(id) * k ** p, 1e-6);
        }
      }),
      runs,
    );
  });

  it('neither the first vertex nor more vertices along the same edges change it', () => {
    fc.assert(
      fc.property(ring, fc.nat(11), (outer, start) => {
        const rolled = Float64Array.of(...outer.subarray(2 * start), ...outer.subarray(0, 2 * start));
        const a = measured({ outer });
        const b = measured({ outer: subdivided(rolled, 3) });
        for (const id of [
          'length',
          'width',
          'width.at.30',
          'feret.max',
          'feret.min',
          'area',
          'solidity',
          'tip.angle',
          'base.shape',
        ]) {
          if (a.row(id).value === null) continue;
          near(b.of(id), a.of(id), 1e-6);
        }
        // Samples fall elsewhere on the corners.
        near(b.of('perimeter'), a.of('perimeter'), 1e-4);
      }),
      runs,
    );
  });
});
