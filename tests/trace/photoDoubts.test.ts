import { describe, expect, it } from 'vitest';
import { rimDoubts } from '../../src/trace/photoDoubts.ts';
import { createRandom } from '../pieces/random.ts';

const [WIDTH, HEIGHT] = [420, 300];

/** Red stone from x = 60 to 260 and, to the right of it up to `end`, the shadow that it throws on grey; a ring about both. */
function withShadow(end: number) {
  const random = createRandom(3);
  const rgba = new Uint8ClampedArray(4 * WIDTH * HEIGHT).fill(255);
  for (let y = 0, i = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++, i += 4) {
      const within = y >= 60 && y < 240 && x >= 60 && x < end;
      const codes = !within ? [150, 150, 148] : x < 260 ? [150, 62, 44] : [70, 70, 69];
      for (let c = 0; c < 3; c++) rgba[i + c] = codes[c] + random.normal();
    }
  }
  const points: number[] = [];
  const corners = [59.5, 59.5, end - 0.5, 59.5, end - 0.5, 239.5, 59.5, 239.5];
  for (let k = 0; k < 8; k += 2) {
    const [x, y, X, Y] = [corners[k], corners[k + 1], corners[(k + 2) % 8], corners[(k + 3) % 8]];
    const steps = Math.round(Math.hypot(X - x, Y - y));
    for (let s = 0; s < steps; s++) points.push(x + ((X - x) * s) / steps, y + ((Y - y) * s) / steps);
  }
  return { picture: { width: WIDTH, height: HEIGHT, rgba }, ring: Float64Array.from(points) };
}

describe('rimDoubts', () => {
  it('tells how much of a ring has a shadow of the backdrop’s colour inside, beside stone of another', () => {
    const { picture, ring } = withShadow(320);
    // 60 pixels of both long sides and all of one short side, of 880.
    expect(rimDoubts(picture, ring).dim).toBeCloseTo(300 / 880, 1);
    expect(rimDoubts(picture, ring).weak).toBe(0);
  });

  it('tells of none where the ring runs along the stone alone', () => {
    const { picture, ring } = withShadow(260);
    expect(rimDoubts(picture, ring)).toMatchObject({ weak: 0, odd: 0, dim: 0 });
  });
});
