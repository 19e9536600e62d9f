import { describe, expect, test } from 'vitest';
import { smoothClosed } from '../../src/geometry/smoothing.ts';

const STEP = 0.1;
const COUNT = 1200;

function wave(length: number): Float64Array {
  return Float64Array.from({ length: COUNT }, (_, i) => Math.sin((2 * Math.PI * i * STEP) / length));
}

describe('the flat-topped Gaussian', () => {
  test.each([1, 2, 3, 5, 6, 10, 20])(
    'passes a wave of %d mm at the share that its formula gives',
    (length) => {
      const scale = 1;
      const q = ((2 * Math.PI * scale) / 2 / length) ** 2 / 2;
      const share = Math.exp(-q) * (1 + q);
      const before = wave(length);
      const after = smoothClosed(before, 1, STEP, scale);
      for (let i = 0; i < COUNT; i += 7) expect(after[i]).toBeCloseTo(share * before[i], 3);
    },
  );

  test('keeps to what its description promises: 5 % at the scale, 89 % at 3 ×, 99 % at 5.8 ×', () => {
    const share = (length: number) => {
      const after = smoothClosed(wave(length), 1, STEP, 2);
      return after.reduce((a, b) => Math.max(a, b), 0);
    };
    expect(share(2)).toBeLessThan(0.05);
    expect(share(6)).toBeCloseTo(0.895, 3);
    expect(share(12)).toBeGreaterThan(0.99);
  });

  test('leaves a constant and the input alone, column by column', () => {
    const samples = new Float64Array(2 * 50);
    for (let i = 0; i < 50; i++) samples.set([7, i === 20 ? 1 : 0], 2 * i);
    const before = samples.slice();
    const after = smoothClosed(samples, 2, 0.1, 0.8);
    expect(samples).toEqual(before);
    let sum = 0;
    for (let i = 0; i < 50; i++) {
      expect(after[2 * i]).toBeCloseTo(7, 12);
      sum += after[2 * i + 1];
    }
    expect(sum).toBeCloseTo(1, 12);
  });

  test('wraps round: a shift of the samples shifts the result', () => {
    const samples = Float64Array.from({ length: 60 }, (_, i) => Math.sin(i * i));
    const shifted = Float64Array.from({ length: 60 }, (_, i) => samples[(i + 17) % 60]);
    const a = smoothClosed(samples, 1, 0.2, 1);
    const b = smoothClosed(shifted, 1, 0.2, 1);
    for (let i = 0; i < 60; i++) expect(b[i]).toBeCloseTo(a[(i + 17) % 60], 12);
  });
});
