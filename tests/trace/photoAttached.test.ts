import { describe, expect, it } from 'vitest';
import { maskInside } from '../../src/geometry/polygonMask.ts';
import type { Points2 } from '../../src/geometry/types.ts';
import { attachedAlong } from '../../src/trace/photoAttached.ts';
import { createRandom } from '../pieces/random.ts';

const [WIDTH, HEIGHT] = [700, 500];
type Colour = readonly [number, number, number];
const STONE: Colour = [120, 96, 74];

/**
 * An ellipse of half-axes 250 and 140 px about (350, 290) with a disc of 45 px radius about its topmost point, of which half stands out: the outline of
 * both together, a point a pixel, and the picture, stone with facets by its columns.
 */
function withLump(lump: Colour): {
  ring: Points2;
  pixels: { width: number; height: number; rgba: Uint8ClampedArray };
} {
  const [cx, cy, a, b, r] = [350, 290, 250, 140, 45];
  const random = createRandom(8);
  const inEllipse = (x: number, y: number): boolean => ((x - cx) / a) ** 2 + ((y - cy) / b) ** 2 < 1;
  const inDisc = (x: number, y: number): boolean => (x - cx) ** 2 + (y - (cy - b)) ** 2 < r * r;
  const points: number[] = [];
  for (let k = 0; k < 1300; k++) {
    const t = (2 * Math.PI * k) / 1300 - Math.PI / 2;
    const [x, y] = [cx + a * Math.cos(t), cy + b * Math.sin(t)];
    if (!inDisc(x, y)) points.push(x, y);
  }
  // From the left back to the right over the disc.
  for (let k = 0; k < 195; k++) {
    const t = -Math.PI - 0.6 + ((Math.PI + 1.2) * k) / 195;
    const [x, y] = [cx + r * Math.cos(t), cy - b + r * Math.sin(t)];
    if (!inEllipse(x, y)) points.push(x, y);
  }
  const ring = Float64Array.from(points);
  const rgba = new Uint8ClampedArray(4 * WIDTH * HEIGHT).fill(255);
  for (let y = 0, i = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++, i++) {
      const facet = Math.floor(x / 60) % 2 === 0 ? 1 : 0.75;
      const colour = inEllipse(x, y) ? STONE.map((c) => c * facet) : inDisc(x, y) ? lump : [225, 225, 222];
      for (let c = 0; c < 3; c++) rgba[4 * i + c] = colour[c] + 2 * random.normal();
    }
  }
  return { ring, pixels: { width: WIDTH, height: HEIGHT, rgba } };
}

describe('attachedAlong', () => {
  it.each([
    ['blue putty', [70, 120, 180]],
    ['white wax', [205, 200, 190]],
    ['grey putty', [60, 60, 62]],
  ] as const)(
    '%s that stands out of a brown stone is told over its own stretch of the outline, as high as it is',
    (_, lump) => {
      const { ring, pixels } = withLump(lump);
      const high = attachedAlong(ring, pixels)!;
      const told = Array.from(high.keys()).filter((i) => high[i] > 0);
      for (const i of told) expect(Math.hypot(ring[2 * i] - 350, ring[2 * i + 1] - 150)).toBeLessThan(55);
      // Half of the disc: 141 px of arc; the chord lies a little below the top of the ellipse.
      expect(Math.abs(told.length - 150)).toBeLessThan(25);
      expect(Math.abs(high[told[0]] - 48)).toBeLessThan(6);
      // The same the other way round.
      const other = Float64Array.from(ring, (_, i) => ring[ring.length - 2 - (i & ~1) + (i & 1)]);
      expect(attachedAlong(other, pixels)?.filter((v) => v > 0).length).toBe(told.length);
    },
  );

  it('a knob of the stone’s own colours is none', () => {
    for (const facet of [1, 0.75]) {
      const [red, green, blue] = STONE;
      const { ring, pixels } = withLump([facet * red, facet * green, facet * blue]);
      expect(attachedAlong(ring, pixels)).toBeUndefined();
    }
  });

  it('a lump that runs into the stone without an edge is none: a patch of another colour', () => {
    const { ring, pixels } = withLump([70, 120, 180]);
    const inside = maskInside([ring], { x0: 0, y0: 0, cell: 1, columns: WIDTH, rows: HEIGHT });
    for (let i = 0; i < inside.length; i++) {
      if (inside[i] === 0) continue;
      // Bluer upward over 120 px.
      const share = Math.min(1, Math.max(0, (230 - Math.floor(i / WIDTH)) / 120));
      [70, 120, 180].forEach((code, c) => {
        pixels.rgba[4 * i + c] = share * code + (1 - share) * STONE[c];
      });
    }
    expect(attachedAlong(ring, pixels)).toBeUndefined();
  });
});
