import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  ellipse,
  lens,
  measured,
  mirroredX,
  modelOf,
  points,
  rectangle,
  scaled,
  subdivided,
  turned,
} from './support/model.ts';

const SHARES = [
  'symmetry.overlap',
  'symmetry.difference',
  'symmetry.rms',
  'symmetry.continuous',
  'symmetry.fourier',
];

describe('symmetry, closed forms', () => {
  it.each([
    ['ellipse', ellipse(20, 45)],
    ['rectangle', rectangle(30, 70)],
    ['triangle', points([-15, 0], [15, 0], [0, 80])],
    ['lens', lens(90, 30)],
    [
      'notched',
      points([-10, 0], [10, 0], [10, 18], [2, 20], [10, 22], [0, 60], [-10, 22], [-2, 20], [-10, 18]),
    ],
  ])('a symmetrical %s is perfect', (_, outer) => {
    const m = measured({ outer });
    expect(m.of('symmetry.overlap')).toBeCloseTo(100, 4);
    for (const id of SHARES.slice(1)) expect(Math.abs(m.of(id))).toBeLessThan(1e-4);
    expect(Math.abs(m.of('symmetry.worst'))).toBeLessThan(1e-6);
  });

  it('a rectangle shifted by d off the axis: overlap 1 − 2d/W, half-widths differ by 2d everywhere', () => {
    const [width, d] = [30, 2];
    const m = measured({ outer: rectangle(width, 70, d) });
    expect(m.of('symmetry.overlap')).toBeCloseTo(100 * (1 - (2 * d) / width), 4);
    expect(m.of('symmetry.difference')).toBeCloseTo((100 * 2 * d) / width, 4);
    expect(m.of('symmetry.rms')).toBeCloseTo((100 * 2 * d) / width, 9);
    expect(m.of('symmetry.worst')).toBeCloseTo(2 * d, 9);
  });

  it('a right triangle on its short leg: overlap, worst and RMS by integration', () => {
    // Margins x = −10 and x = 10 − y/3 over 0…60; right less left = −y/3.
    const m = measured({ outer: points([-10, 0], [10, 0], [-10, 60]) });
    expect(m.of('symmetry.worst')).toBeCloseTo(-19.9, 9);
    // At the very tip there is no chord.
    expect(m.of('symmetry.worst.station')).toBeCloseTo(99.5, 9);
    // Sum of k² over 1…199, and either end half as its neighbour.
    const squares = (199 * 200 * 399) / 6 + (1 + 199 ** 2) / 2;
    expect(m.of('symmetry.rms')).toBeCloseTo((100 * 0.1 * Math.sqrt(squares / 200)) / 20, 9);
    // Overlap in a row: 2·min(10, 10 − y/3) where that is positive: ∫₀³⁰ 2(10 − y/3) dy = 300 of 600.
    expect(m.of('symmetry.overlap')).toBeCloseTo(50, 4);
  });

  it('half-ellipses of different widths: overlap is the narrower twice over the whole', () => {
    const [left, right, half] = [18, 22, 45];
    const outer = ellipse(1, half, 4000).map((v, i) => (i % 2 === 1 ? v : v * (v < 0 ? left : right)));
    const m = measured({ outer });
    expect(m.of('symmetry.overlap')).toBeCloseTo((100 * 2 * left) / (left + right), 3);
    expect(m.of('symmetry.worst')).toBeCloseTo(right - left, 3);
    expect(m.of('symmetry.worst.station')).toBeCloseTo(50, 6);
    // r − l = 4·√(1 − u²), whose mean square over u is 16·2/3 (201 samples with the ends take off 1/200²).
    expect(m.of('symmetry.rms')).toBeCloseTo((100 * 4 * Math.sqrt(2 / 3)) / (left + right), 1);
  });

  it('a shifted circle: overlap is that of two circles 2d apart', () => {
    const [r, d] = [25, 3];
    const m = measured({ outer: ellipse(r, r, 4000).map((v, i) => (i % 2 === 0 ? v + d : v)) });
    const overlap = 2 * r * r * Math.acos(d / r) - 2 * d * Math.sqrt(r * r - d * d);
    expect(m.of('symmetry.overlap')).toBeCloseTo((100 * overlap) / (Math.PI * r * r), 3);
  });

  it('continuous and Fourier asymmetry are squares: a deviation twice as large counts four times', () => {
    // x = R sin t + e cos 2t: a wave that no mirror-symmetric outline can have.
    const [r, n] = [30, 4000];
    const wave = (e: number) =>
      measured({
        outer: Float64Array.from({ length: 2 * n }, (_, i) => {
          const t = (2 * Math.PI * (i >> 1)) / n;
          return i % 2 === 0 ? -r * Math.sin(t) + e * (Math.cos(2 * t) - 1) : 1.5 * r * Math.cos(t);
        }),
      });
    const [one, two] = [wave(0.2), wave(0.4)];
    for (const id of ['symmetry.continuous', 'symmetry.fourier']) {
      expect(one.of(id)).toBeGreaterThan(1e-3);
      expect(two.of(id) / one.of(id)).toBeCloseTo(4, 1);
    }
  });

  it('continuous symmetry of a shifted rectangle matches pairs folded one by one', () => {
    const outer = subdivided(points([-12, 0], [15, 0], [18, 60], [-9, 64]), 7);
    const m = measured({ outer });
    expect(m.of('symmetry.continuous')).toBeCloseTo(foldedByHand(outer, 400), 6);
  });

  it('is given for each automatic axis, the rings turned to it', () => {
    const angle = 8;
    const outer = turned(
      rectangle(30, 70).map((v, i) => (i % 2 === 1 ? v - 35 : v)),
      angle,
    );
    const model = modelOf({
      outer,
      axes: { mirror: { angle: 0, x: 0 }, principal: { angle, x: 0 }, longest: { angle: 0, x: 1 } },
    });
    const m = measured(model);
    expect(m.of('symmetry.overlap.mirror')).toBe(m.of('symmetry.overlap'));
    expect(m.of('symmetry.overlap')).toBeLessThan(95);
    expect(m.of('symmetry.overlap.principal')).toBeCloseTo(100, 4);
    expect(m.of('symmetry.overlap.longest')).not.toBe(m.of('symmetry.overlap'));
    expect(m.row('symmetry.overlap.tip-base').value).toBeNull();
    expect(m.row('symmetry.overlap.tip-base').reason).toContain('placed');
  });

  it('gives half-widths as a series and leaves out what a marked break covers', () => {
    const outer = subdivided(points([-15, 0], [15, 0], [15, 30], [9, 45], [15, 60], [-15, 60]), 30);
    const model = modelOf({ outer, hasMargin: true });
    const free = measured(model);
    expect(free.of('symmetry.overlap')).toBeLessThan(96);
    // Right side first from the tip: the bay lies between y = 60 and y = 30 of it.
    const { arc, points: line } = model.margin!;
    const at = (y: number) => arc[arc.findIndex((_, i) => line[3 * i] > 0 && line[3 * i + 1] < y)];
    const m = measured(model, { breaks: [[0, at(29)]] });
    expect(m.of('symmetry.overlap')).toBeCloseTo(100, 4);
    expect(m.of('symmetry.rms')).toBeCloseTo(0, 9);
    expect(m.row('symmetry.continuous').value).toBeNull();
    const { difference, station } = m.series.halfWidths as Record<string, ArrayLike<number>>;
    expect(station.length).toBe(201);
    expect(Number.isNaN(difference[150])).toBe(true);
    expect(difference[20]).toBeCloseTo(0, 9);
  });
});

describe('symmetry, properties', () => {
  const ring = fc.array(fc.integer({ min: 700, max: 1300 }), { minLength: 12, maxLength: 40 }).map((radii) =>
    Float64Array.from(
      radii.flatMap((r, i) => {
        const a = (2 * Math.PI * i) / radii.length;
        return [0.02 * r * Math.sin(a), -0.045 * r * Math.cos(a)];
      }),
    ),
  );
  const runs = { numRuns: 20, seed: 5 };

  it('mirroring swaps sides and negates what is signed', () => {
    fc.assert(
      fc.property(ring, (outer) => {
        const a = measured({ outer });
        const b = measured({ outer: mirroredX(outer) });
        for (const id of SHARES) expect(b.of(id)).toBeCloseTo(a.of(id), 4);
        expect(Math.abs(b.of('symmetry.worst'))).toBeCloseTo(Math.abs(a.of('symmetry.worst')), 6);
        const [own, other] = [a.series.halfWidths, b.series.halfWidths] as Record<string, Float64Array>[];
        expect(Array.from(other.left)).toEqual(Array.from(own.right, (v) => expect.closeTo(v, 9) as number));
      }),
      runs,
    );
  });

  it('scaling changes no share; overlap stays within 0…100', () => {
    fc.assert(
      fc.property(ring, fc.integer({ min: 3, max: 40 }), (outer, k) => {
        const a = measured({ outer });
        const b = measured({ outer: scaled(outer, k / 10) });
        for (const id of SHARES) expect(b.of(id)).toBeCloseTo(a.of(id), 4);
        expect(a.of('symmetry.overlap')).toBeGreaterThan(0);
        expect(a.of('symmetry.overlap')).toBeLessThanOrEqual(100.0001);
        expect(b.of('symmetry.worst')).toBeCloseTo((a.of('symmetry.worst') * k) / 10, 6);
      }),
      runs,
    );
  });
});

/** The definition, step by step: points paired, one reflected, averaged, reflected back. */
function foldedByHand(ring: Float64Array, pairs: number): number {
  const n = ring.length / 2;
  const cuts: { s: number; y: number }[] = [];
  const arc = [0];
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const d = Math.hypot(ring[2 * j] - ring[2 * i], ring[2 * j + 1] - ring[2 * i + 1]);
    const f = ring[2 * i] / (ring[2 * i] - ring[2 * j]);
    if (f >= 0 && f < 1) {
      cuts.push({ s: arc[i] + f * d, y: ring[2 * i + 1] + f * (ring[2 * j + 1] - ring[2 * i + 1]) });
    }
    arc.push(arc[i] + d);
  }
  const around = arc[n];
  cuts.sort((a, b) => a.y - b.y);
  const base = cuts[0].s;
  const tip = cuts.at(-1)!.s;
  const at = (s: number): [number, number] => {
    const place = ((s % around) + around) % around;
    let i = 0;
    while (arc[i + 1] < place) i++;
    const f = (place - arc[i]) / (arc[i + 1] - arc[i]);
    const j = (i + 1) % n;
    return [
      ring[2 * i] + f * (ring[2 * j] - ring[2 * i]),
      ring[2 * i + 1] + f * (ring[2 * j + 1] - ring[2 * i + 1]),
    ];
  };
  const down = (((base - tip) % around) + around) % around;
  const all: [number, number][] = [];
  let moved = 0;
  for (let k = 0; k < pairs; k++) {
    const f = k / (pairs - 1);
    const p = at(tip + f * down);
    const q = at(tip - f * (around - down));
    const mean = [(p[0] - q[0]) / 2, (p[1] + q[1]) / 2];
    moved += (p[0] - mean[0]) ** 2 + (p[1] - mean[1]) ** 2 + (q[0] + mean[0]) ** 2 + (q[1] - mean[1]) ** 2;
    all.push(p, q);
  }
  const cx = all.reduce((sum, p) => sum + p[0], 0) / all.length;
  const cy = all.reduce((sum, p) => sum + p[1], 0) / all.length;
  return (100 * moved) / all.reduce((sum, p) => sum + (p[0] - cx) ** 2 + (p[1] - cy) ** 2, 0);
}
