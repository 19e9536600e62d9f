import { describe, expect, it } from 'vitest';
import type { Points2 } from '../../src/geometry/types.ts';
import { refineBoundary } from '../../src/trace/photoBoundary.ts';
import { cutCorners } from '../../src/trace/photoCorners.ts';
import { colourEdges } from '../../src/trace/photoEdge.ts';
import { withEnds } from '../../src/trace/photoTips.ts';
import { makePhoto } from '../pieces/photo.ts';
import type { Backdrop } from '../pieces/photoLight.ts';
import { ringRms } from '../pieces/ringTruth.ts';

/** 10 px/mm: a square of 10 mm, sides of 100 points; and an oval of 10 × 7 mm. */
const SQUARE = Float64Array.from({ length: 800 }, (_, i) => {
  const [side, at] = [Math.floor(i / 200), ((i >> 1) % 100) / 100];
  const [x, y] = [
    [10 * at, 10, 10 - 10 * at, 0],
    [0, 10 * at, 10, 10 - 10 * at],
  ].map((values) => values[side] - 5);
  return i % 2 === 0 ? x : y;
});
const OVAL = Float64Array.from({ length: 800 }, (_, i) => {
  const t = (Math.PI * (i >> 1)) / 200;
  return i % 2 === 0 ? 5 * Math.cos(t) : 3.5 * Math.sin(t);
});

const BLUR = 1.2;

function drawn(outline: Points2, backdrop: Backdrop) {
  const { pixels, seen } = makePhoto({
    camera: { width: 200, height: 200, focal: 3000, distance: 300 },
    light: { backdrop },
    pieces: [{ outline, place: { x: 0, y: 0, angle: 25 }, height: 0, stone: 'jasper' }],
    seed: 6,
    blur: BLUR,
  });
  const { ring } = refineBoundary(colourEdges(pixels), seen[0], { error: 2 });
  const ends = cutCorners(ring, pixels, BLUR);
  return { before: ring, after: withEnds(ring, ends).ring, ends, truth: seen[0], pixels };
}

/** How far a ring stays from the truth's corners at most, pixels. */
function cornersLeft(ring: Points2, truth: Points2): number {
  return Math.max(
    ...[0, 100, 200, 300].map((k) => {
      const [x, y] = [truth[2 * k], truth[2 * k + 1]];
      let least = Infinity;
      for (let i = 0; i < ring.length; i += 2)
        least = Math.min(least, Math.hypot(ring[i] - x, ring[i + 1] - y));
      return least;
    }),
  );
}

describe('corners of a blurred picture', () => {
  it.each(['white', 'grey'] as const)('are drawn out to where they are, on %s', (backdrop) => {
    const { before, after, truth } = drawn(SQUARE, backdrop);
    expect(cornersLeft(before, truth)).toBeGreaterThan(0.8);
    expect(cornersLeft(after, truth)).toBeLessThan(0.6);
    expect(ringRms(after, truth)).toBeLessThan(ringRms(before, truth));
  });

  it('are in doubt where something beyond them is neither stone nor backdrop, and only there', () => {
    const { before, ends, truth, pixels } = drawn(SQUARE, 'white');
    expect(ends.map(({ error = 0 }) => error)).toEqual([0, 0, 0, 0]);
    // A small facet of nearly the backdrop's light, from the corner outward.
    const [x, y] = [Math.round(truth[0]), Math.round(truth[1])];
    for (let k = 0; k < 16; k++) {
      const [u, v] = [x + Math.sign(x - 100) * (k % 4), y + Math.sign(y - 100) * (k >> 2)];
      pixels.rgba.fill(190, 4 * (200 * v + u), 4 * (200 * v + u) + 3);
    }
    const errors = cutCorners(before, pixels, BLUR).map(({ at, error = 0 }) => ({
      near: Math.hypot(before[2 * at] - x, before[2 * at + 1] - y) < 10,
      error,
    }));
    for (const { near, error } of errors) {
      if (near) expect(error).toBeGreaterThan(1);
      else expect(error).toBe(0);
    }
    expect(errors.filter(({ near }) => near)).toHaveLength(1);
  });

  it('are not made where there are none', () => {
    const { before, after } = drawn(OVAL, 'white');
    expect(after).toEqual(before);
  });
});
