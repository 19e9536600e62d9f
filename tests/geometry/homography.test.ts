import { describe, expect, it } from 'vitest';
import { fitHomography, invert3, multiply3, project } from '../../src/geometry/homography.ts';
import { createRandom } from '../pieces/random.ts';

const H = Float64Array.of(1.2, -0.3, 40, 0.2, 0.9, -15, 0.001, -0.0007, 1);

describe('homographies', () => {
  it('are found again from four points, and from many far from the origin', () => {
    const random = createRandom(7);
    for (const count of [4, 30]) {
      const from = Float64Array.from({ length: 2 * count }, () => 5000 + 200 * random.next());
      const to = Float64Array.from(from);
      project(H, to);
      const found = fitHomography(from, to)!;
      const again = Float64Array.from(from);
      project(found, again);
      for (let i = 0; i < to.length; i++) expect(again[i]).toBeCloseTo(to[i], 6);
    }
  });

  it('are not found where points do not settle them', () => {
    // All on one line.
    const line = Float64Array.of(0, 0, 1, 1, 2, 2, 3, 3);
    expect(fitHomography(line, line)).toBeUndefined();
    expect(fitHomography(line.slice(0, 6), line.slice(0, 6))).toBeUndefined();
  });

  it('have inverses: H⁻¹·H is 1', () => {
    const one = multiply3(invert3(H), H);
    for (let i = 0; i < 9; i++) expect(one[i]).toBeCloseTo(i % 4 === 0 ? 1 : 0, 12);
  });
});
