import { describe, expect, it } from 'vitest';
import { ellipse, measured, mirroredX, points, rectangle } from './support/model.ts';

/** A bent strip: margins at bend(y) ± half, in `count` steps of y. */
function strip(length: number, half: number, bend: (y: number) => number, count = 400) {
  const side = (sign: number, k: number): [number, number] => {
    const y = (length * k) / count;
    return [bend(y) + sign * half, y];
  };
  const up = Array.from({ length: count + 1 }, (_, k) => side(1, k));
  const down = Array.from({ length: count + 1 }, (_, k) => side(-1, count - k));
  return points(...up, ...down);
}

describe('midline, closed forms', () => {
  it('of a symmetrical piece lies on the axis', () => {
    const m = measured({ outer: ellipse(15, 40) });
    expect(m.of('midline.rms')).toBeCloseTo(0, 9);
    expect(m.of('midline.bow')).toBeCloseTo(0, 9);
    expect(m.of('midline.skew')).toBeCloseTo(0, 9);
  });

  it('of a strip bent by a·sin(πy/L): RMS a/√2, bow a·(1 − sin 9°)', () => {
    const [length, a] = [100, 3];
    const m = measured({ outer: strip(length, 8, (y) => a * Math.sin((Math.PI * y) / length)) });
    // The sum of sin² over the 199 stations within is 100; either end counts half as much as its neighbour does.
    expect(m.of('midline.rms')).toBeCloseTo(a * Math.sqrt((100 + Math.sin(Math.PI / 200) ** 2) / 200), 4);
    expect(m.of('midline.rms')).toBeCloseTo(a / Math.SQRT2, 2);
    expect(m.of('midline.bow')).toBeCloseTo(a * (1 - Math.sin((Math.PI * 5) / 100)), 4);
    expect(m.of('midline.skew')).toBeCloseTo(0, 9);
  });

  it('of a leaning strip: skew is the lean, RMS lean·L/√12, no bow', () => {
    const m = measured({ outer: strip(100, 8, (y) => 0.05 * (y - 50)) });
    // Σk² from −99 to 99 is 656 700.
    expect(m.of('midline.skew')).toBeCloseTo((Math.atan(0.05) * 180) / Math.PI, 9);
    expect(m.of('midline.rms')).toBeCloseTo(0.025 * Math.sqrt((656_700 + 99 ** 2) / 200), 9);
    expect(m.of('midline.bow')).toBeCloseTo(0, 9);
  });

  it('mirroring negates what is signed and leaves the rest', () => {
    const ring = strip(100, 8, (y) => 3 * Math.sin((Math.PI * y) / 100) + 0.02 * y);
    const a = measured({ outer: ring });
    const b = measured({ outer: mirroredX(ring) });
    expect(a.of('midline.bow')).toBeGreaterThan(0);
    expect(b.of('midline.bow')).toBeCloseTo(-a.of('midline.bow'), 9);
    expect(b.of('midline.skew')).toBeCloseTo(-a.of('midline.skew'), 9);
    expect(b.of('midline.rms')).toBeCloseTo(a.of('midline.rms'), 9);
  });

  it('of a shifted piece is the shift', () => {
    expect(measured({ outer: rectangle(20, 60, 1.5) }).of('midline.rms')).toBeCloseTo(1.5, 12);
  });
});
