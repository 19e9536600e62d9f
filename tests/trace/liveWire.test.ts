import { describe, expect, test } from 'vitest';
import type { Pixels } from '../../src/intake/photoTypes.ts';
import { wireThrough } from '../../src/trace/liveWire.ts';
import { createRandom } from '../pieces/random.ts';

const [WIDTH, HEIGHT] = [300, 700];
const [FOOT, TOP] = [30, 670];
/** Half the silhouette's width: a lens. */
const half = (y: number): number =>
  90 * Math.sqrt(Math.max(0, Math.sin((Math.PI * (y - FOOT)) / (TOP - FOOT))));
const SILHOUETTE = Float64Array.from(
  [...Array(320).keys()]
    .flatMap((k) => [150 + half(FOOT + 2 * k), FOOT + 2 * k])
    .concat([...Array(320).keys()].flatMap((k) => [150 - half(TOP - 2 * k), TOP - 2 * k])),
);

/** Linear light of an 8-bit sRGB picture and back (IEC 61966-2-1). */
const code = (light: number): number =>
  255 * (light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055);

/**
 * An edge-on picture with exact truth: two faces of one stone, one lit and one in shade, that meet along x = curve(y).
 * Mixed in linear light by the share of each pixel on either side; grain as that of stone and sensor in codes.
 */
function picture(curve: (y: number) => number, shade: number, grain: number, seed: number): Pixels {
  const random = createRandom(seed);
  const rgba = new Uint8ClampedArray(4 * WIDTH * HEIGHT).fill(255);
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) {
      let lit = 0;
      for (let k = -4; k <= 4; k++) {
        // A blur of about a pixel, as a row of nine places.
        const slope = (curve(y + 0.5) - curve(y - 0.5)) / 2;
        lit += 0.5 + 0.5 * Math.tanh((curve(y) - x + k / 4) / (1 + Math.abs(slope)));
      }
      const stone = 0.28 * (shade + ((1 - shade) * lit) / 9);
      const light = Math.abs(x - 150) < half(y) ? stone : 0.75;
      const noise = grain * random.normal();
      for (let c = 0; c < 3; c++) rgba[4 * (y * WIDTH + x) + c] = code(light) * [1, 0.97, 0.9][c] + noise;
    }
  }
  return { width: WIDTH, height: HEIGHT, rgba };
}

/** Greatest and RMS distance of the wire from the curve across it, pixels, away from the two ends. */
function strays(wire: Float64Array, curve: (y: number) => number): { rms: number; most: number } {
  let [sum, count, most] = [0, 0, 0];
  for (let i = 0; i < wire.length; i += 2) {
    const [x, y] = [wire[i], wire[i + 1]];
    if (y < 100 || y > 600) continue;
    const slope = curve(y + 0.5) - curve(y - 0.5);
    const off = Math.abs(x - curve(y)) / Math.hypot(1, slope);
    sum += off * off;
    count++;
    most = Math.max(most, off);
  }
  return { rms: Math.sqrt(sum / count), most };
}

describe('a live-wire', () => {
  test.each([
    [5, 150, 0.55, 3, 5],
    [12, 120, 0.55, 3, 9],
    [8, 200, 0.75, 4, 5],
    [0, 100, 0.6, 3, 2],
  ])(
    'follows an edge of ±%d px, %d px long waves, shade %d and grain %d, through %d clicks',
    (high, wave, shade, grain, n) => {
      const curve = (y: number): number => 150 + high * Math.sin((2 * Math.PI * y) / wave);
      const random = createRandom(high + wave);
      const clicks = Array.from({ length: n }, (_, k) => {
        const y = 70 + (560 * k) / (n - 1);
        return [curve(y) + 1.5 * random.normal(), y];
      });
      const { rms, most } = strays(
        wireThrough(picture(curve, shade, grain, 5), clicks.flat(), SILHOUETTE),
        curve,
      );
      // What the measures count on as its uncertainty.
      expect(rms).toBeLessThan(0.4);
      expect(most).toBeLessThan(1.2);
    },
  );

  test('is drawn by the edge between its clicks, not by the stronger rim of the silhouette', () => {
    // Near the rim: 25 px from it at the middle.
    const curve = (y: number): number => 150 + half(y) - 25;
    const pixels = picture(curve, 0.6, 3, 6);
    const clicks = [120, 350, 580].flatMap((y) => [curve(y), y]);
    expect(strays(wireThrough(pixels, clicks, SILHOUETTE), curve).most).toBeLessThan(1.5);
  });

  test('runs straight between clicks where nothing is to be seen', () => {
    const plain = picture(() => 1000, 0.6, 0, 1);
    const wire = wireThrough(plain, [140, 300, 150, 400], SILHOUETTE);
    expect([...wire.slice(0, 2), ...wire.slice(-2)]).toEqual([140, 300, 150, 400]);
    for (let i = 0; i < wire.length; i += 2) {
      expect(Math.abs(wire[i] - 140 - (wire[i + 1] - 300) / 10)).toBeLessThan(6);
    }
  });
});
