import { describe, expect, it } from 'vitest';
import { maskInside } from '../../src/geometry/polygonMask.ts';
import { attachedAlong } from '../../src/trace/photoAttached.ts';
import { seamedBaysAlong } from '../../src/trace/photoBaySeams.ts';
import { createRandom } from '../pieces/random.ts';

const [WIDTH, HEIGHT] = [700, 500];

/**
 * A dark ellipse of half-axes 250 and 140 px about (350, 290) out of whose top a disc of 60 px radius is bitten: the outline with the bite, a point a
 * pixel, and a picture in which `shown(x, y)` is seen in the bite and linen elsewhere.
 */
function withBay(shown: (x: number, y: number) => readonly number[]) {
  const [cx, cy, a, b, r] = [350, 290, 250, 140, 60];
  const random = createRandom(9);
  const inEllipse = (x: number, y: number): boolean => ((x - cx) / a) ** 2 + ((y - cy) / b) ** 2 < 1;
  const inDisc = (x: number, y: number): boolean => (x - cx) ** 2 + (y - (cy - b)) ** 2 < r * r;
  const points: number[] = [];
  for (let k = 0; k < 1300; k++) {
    const t = (2 * Math.PI * k) / 1300 - Math.PI / 2;
    const [x, y] = [cx + a * Math.cos(t), cy + b * Math.sin(t)];
    if (!inDisc(x, y)) points.push(x, y);
  }
  // From the left to the right through the bottom of the bite.
  for (let k = 0; k < 260; k++) {
    const t = Math.PI + 0.6 - ((Math.PI + 1.2) * k) / 260;
    const [x, y] = [cx + r * Math.cos(t), cy - b + r * Math.sin(t)];
    if (inEllipse(x, y)) points.push(x, y);
  }
  const rgba = new Uint8ClampedArray(4 * WIDTH * HEIGHT).fill(255);
  for (let y = 0, i = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++, i++) {
      const weave = 5 * Math.sin(x / 2) * Math.sin(y / 2);
      const colour = !inEllipse(x, y)
        ? [200 + weave, 191 + weave, 174 + weave]
        : inDisc(x, y)
          ? shown(x, y)
          : [70, 68, 66];
      for (let c = 0; c < 3; c++) rgba[4 * i + c] = colour[c] + 3 * random.normal();
    }
  }
  return { ring: Float64Array.from(points), pixels: { width: WIDTH, height: HEIGHT, rgba } };
}

describe('seamedBaysAlong', () => {
  it('tells a bay that shows cortex, a little yellower than the linen round about, as deep as it is', () => {
    const { ring, pixels } = withBay(() => [199, 187, 158]);
    const deep = seamedBaysAlong(ring, pixels)!;
    const told = Array.from(deep.keys()).filter((i) => deep[i] > 0);
    for (const i of told) expect(Math.hypot(ring[2 * i] - 350, ring[2 * i + 1] - 150)).toBeLessThan(70);
    expect(told.length).toBeGreaterThan(150);
    // The mouth lies 7 px below the top of the ellipse: 60² over twice 250²/140.
    expect(Math.abs(deep[told[0]] - 57)).toBeLessThan(6);
  });

  it.each([
    ['the linen itself', () => [200, 191, 174]],
    ['the linen in even shadow', () => [141, 135, 124]],
    [
      'the linen in a shadow whose soft rim lies across the mouth',
      (_: number, y: number) => {
        const share = 1 - 0.5 / (1 + Math.exp((170 - y) / 8));
        return [200 * share, 191 * share, 174 * share];
      },
    ],
  ] as const)('tells no notch that shows %s', (_, shown) => {
    const { ring, pixels } = withBay(shown);
    expect(seamedBaysAlong(ring, pixels)).toBeUndefined();
  });

  it('looks into no gap between teeth of the rim: they leave no room past blur and coarse colours', () => {
    // An ellipse with teeth 14 px high on blue cloth, colours in blocks of 4 × 4 pixels as coarse JPEG has them.
    const ring = Float64Array.from({ length: 2 * 1500 }, (_, i) => {
      const t = (2 * Math.PI * (i >> 1)) / 1500;
      const tooth = 7 * Math.cos(40 * t);
      return (i & 1) === 0 ? 350 + (250 + tooth) * Math.cos(t) : 250 + (150 + tooth) * Math.sin(t);
    });
    const inside = maskInside([ring], { x0: 0, y0: 0, cell: 1, columns: WIDTH, rows: HEIGHT });
    const rgba = new Uint8ClampedArray(4 * WIDTH * HEIGHT).fill(255);
    for (let i = 0; i < inside.length; i++) {
      const block = (Math.floor(i / WIDTH) & ~3) * WIDTH + ((i % WIDTH) & ~3);
      let share = 0;
      for (let k = 0; k < 16; k++) share += inside[block + (k >> 2) * WIDTH + (k & 3)] / 16;
      [140, 110, 80].forEach((code, c) => {
        rgba[4 * i + c] = share * code + (1 - share) * [40, 70, 130][c];
      });
    }
    const pixels = { width: WIDTH, height: HEIGHT, rgba };
    expect(seamedBaysAlong(ring, pixels)).toBeUndefined();
    expect(attachedAlong(ring, pixels)).toBeUndefined();
  });

  it('ends where a bay has points so far apart that none lies over a place that is looked at', () => {
    // A square with a bay of three points, whose long sides are steps of 30 px.
    const at: number[] = [];
    const to = (x: number, y: number, step: number): void => {
      const [x0, y0] = at.slice(-2);
      const n = Math.max(1, Math.round(Math.hypot(x - x0, y - y0) / step));
      for (let k = 1; k <= n; k++) at.push(x0 + ((x - x0) * k) / n, y0 + ((y - y0) * k) / n);
    };
    at.push(100, 100);
    for (const [x, y] of [
      [300, 100],
      [302, 200],
      [398, 200],
      [400, 100],
      [600, 100],
      [600, 400],
      [100, 400],
      [100, 101],
    ])
      to(x, y, y === 200 && x === 398 ? 200 : 1);
    const rgba = new Uint8ClampedArray(4 * WIDTH * HEIGHT).fill(200);
    expect(seamedBaysAlong(Float64Array.from(at), { width: WIDTH, height: HEIGHT, rgba })).toBeUndefined();
  });
});
