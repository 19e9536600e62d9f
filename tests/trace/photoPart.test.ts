import { beforeAll, describe, expect, it } from 'vitest';
import type { Cv } from '../../src/intake/photoOpencv.ts';
import { thingsPart } from '../../src/trace/photoPart.ts';
import { loadOpencv } from '../intake/support/opencv.ts';
import { asPhoto } from '../pieces/photo.ts';

const [WIDTH, HEIGHT] = [300, 240];
/** A scale bar down the right of the picture. */
const BAR = Float64Array.of(250, 40, 250, 200);

let cv: Cv;
beforeAll(async () => {
  ({ cv } = await loadOpencv());
});

/** The part about rectangles [left, top, width, height] that stand off beside the bar. */
function partOf(...things: readonly (readonly [number, number, number, number])[]) {
  const mask = new Uint8Array(WIDTH * HEIGHT);
  for (const [left, top, width, height] of [...things, [240, 40, 20, 160]]) {
    for (let v = top; v < top + height; v++) mask.fill(1, v * WIDTH + left, v * WIDTH + left + width);
  }
  const rgba = new Uint8ClampedArray(4 * WIDTH * HEIGHT).fill(255);
  const grid = { width: WIDTH, height: HEIGHT, rgba, factor: 1 };
  return thingsPart(asPhoto({ width: WIDTH, height: HEIGHT, rgba }), { bar: BAR }, grid, mask, cv);
}

describe('the part of a picture that holds what stands off beside a scale bar', () => {
  it('is that of one narrow thing, crumbs or none', () => {
    const part = partOf([60, 100, 60, 6], [10, 10, 5, 5]);
    expect(part).toBeDefined();
    expect([part!.x, part!.y].every((v, k) => v > 0 && v < [60, 100][k])).toBe(true);
    expect(part!.x + part!.photo.width).toBeLessThan(240);
  });

  it('is not there where several things are as large: glints of dark stone on dark cloth are no pieces', () => {
    expect(partOf([60, 100, 30, 6], [70, 120, 20, 6], [95, 110, 20, 5])).toBeUndefined();
  });
});
