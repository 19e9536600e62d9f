import { describe, expect, test } from 'vitest';
import { axisError } from '../../src/measures/orientation.ts';
import { planeTilt } from '../../src/measures/planeTilt.ts';
import { DEFAULT_MEASURE_SETTINGS as SETTINGS } from '../../src/measures/settings.ts';
import type { Model } from '../../src/trace/types.ts';
import { barModel } from './edgeModels.ts';

const LENGTH = 60;
const HALF_WIDTH = 12;
/** Height of the margin's right side; the left one lies as far under the plane. */
const RISE = 3;

const bar = barModel({
  length: LENGTH,
  edge: 0.5,
  section: () => [
    [HALF_WIDTH, RISE],
    [0, 8],
    [-HALF_WIDTH, -RISE],
    [0, -8],
  ],
  margin: () => ({ right: [HALF_WIDTH, RISE], left: [-HALF_WIDTH, -RISE] }),
});

/** The bar with a wall that reaches `half` mm up and down wherever `where` says. */
function walled(half: number, where: (x: number, y: number) => boolean): Model {
  const { outer } = bar.outline;
  const none = new Float64Array(outer.length / 2);
  const wall = none.map((_, i) => (where(outer[2 * i], outer[2 * i + 1]) ? half : 0));
  return { ...bar, outline: { ...bar.outline, left: { plan: none, height: none, wall } } };
}

describe('a margin plane that walls may tilt', () => {
  test('without walls it does not', () => {
    expect(planeTilt(bar)).toEqual({ roll: 0, pitch: 0 });
    expect(planeTilt(walled(0, () => true))).toEqual({ roll: 0, pitch: 0 });
  });

  test('a wall along the base pitches it as a least-squares line through a rectangle’s outline says', () => {
    const half = 2;
    const { roll, pitch } = planeTilt(walled(half, (_, y) => y < 0.01));
    // Σ z·y over Σ y² about mid-length: one short side of standard error half/√3 against both short and both long sides.
    const [width, middle] = [2 * HALF_WIDTH, LENGTH / 2];
    const expected =
      ((half / Math.sqrt(3)) * width * middle) / (2 * width * middle ** 2 + (2 * LENGTH ** 3) / 12);
    expect(pitch / expected).toBeCloseTo(1, 1);
    expect(roll).toBeLessThan(pitch / 50);
  });

  test('two walls err each by itself: like ones on both sides do not make up for one another', () => {
    const onSide = (x: number): boolean => Math.abs(Math.abs(x) - HALF_WIDTH) < 0.01;
    const inMiddle = (y: number): boolean => Math.abs(y - LENGTH / 2) < 10;
    const one = planeTilt(walled(1, (x, y) => onSide(x) && x > 0 && inMiddle(y)));
    const both = planeTilt(walled(1, (x, y) => onSide(x) && inMiddle(y)));
    expect(both.roll / one.roll).toBeCloseTo(Math.SQRT2, 1);
  });

  test('widths of a margin that lies aslant go by it: by its roll times the rise from side to side', () => {
    const quality = { meanEdge: 0.5, noise: 0, lineError: 0 };
    const model = walled(1, (x, y) => x > HALF_WIDTH - 0.01 && Math.abs(y - LENGTH / 2) < 10);
    const { roll } = planeTilt(model);
    const [with_, without] = [model, bar].map((one) => axisError({ ...one, quality }, SETTINGS));
    const width = with_.get('width.at.50') ?? NaN;
    expect(width).toBeCloseTo(Math.hypot(roll * 2 * RISE, without.get('width.at.50') ?? NaN), 4);
    expect(width).toBeGreaterThan(2 * (without.get('width.at.50') ?? NaN));
    expect(with_.get('section.50.width')).toBe(width);
  });
});
