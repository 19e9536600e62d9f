import { describe, expect, it } from 'vitest';
import { softEdge, softLooks, softlyShown } from '../../src/trace/photoSharpness.ts';

/** Looks of a ring, soft where `isSoft` says. */
function looks(count: number, isSoft: (k: number) => boolean) {
  return {
    places: Uint32Array.from({ length: count }, (_, k) => 2 * k),
    soft: Uint8Array.from({ length: count }, (_, k) => (isSoft(k) ? 1 : 0)),
    blur: 1,
  };
}

describe('softEdge', () => {
  it('counts a stretch that goes on, over the first point too', () => {
    expect(softEdge(looks(1000, (k) => k < 30 || k >= 980))).toEqual({ soft: 0.05, softStretch: 0.05 });
  });

  it('counts no single looks, which texture makes', () => {
    expect(softEdge(looks(1000, (k) => k % 10 < 5))).toEqual({ soft: 0, softStretch: 0.005 });
  });

  it('counts a ring that is soft all round', () => {
    expect(softEdge(looks(1000, () => true))).toEqual({ soft: 1, softStretch: 1 });
  });

  it('passes over points that are left out', () => {
    const leave = Float64Array.from({ length: 2000 }, (_, i) => (i < 1000 ? 1 : 0));
    expect(
      softEdge(
        looks(1000, (k) => k < 550),
        leave,
      ),
    ).toEqual({ soft: 0.1, softStretch: 0.05 });
  });
});

describe('softLooks', () => {
  it('counts single looks too', () => {
    expect(softLooks(looks(1000, (k) => k % 10 < 5))).toBe(0.5);
  });
});

describe('softlyShown', () => {
  it.each([
    ['with little that is soft', 0.3, 0.1, 1],
    ['that is soft between sharp stretches', 0.6, 0.2, 0.4],
    ['that is blurred all along', 0.95, 0.9, 1],
  ])('tells of an outline %s', (_, soft, softStretch, share) => {
    expect(softlyShown({ soft, softStretch })).toBeCloseTo(share, 12);
  });
});
