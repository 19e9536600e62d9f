import { describe, expect, it } from 'vitest';
import type { Region } from '../../src/trace/photoRegion.ts';
import { wholeness } from '../../src/trace/photoScattered.ts';

const [WIDTH, HEIGHT] = [100, 80];

/** A full rectangle of cells. */
function block(left: number, top: number, width: number, height: number): Region {
  return { left, top, width, height, mask: new Uint8Array(width * height).fill(1) };
}

function cellsOf(blocks: readonly Region[]): Uint8Array {
  const cells = new Uint8Array(WIDTH * HEIGHT);
  for (const { left, top, width, height } of blocks) {
    for (let y = top; y < top + height; y++) cells.fill(1, y * WIDTH + left, y * WIDTH + left + width);
  }
  return cells;
}

describe('wholeness', () => {
  // Twelve parts of 8 × 8 cells, three cells apart, and the regions of some of them.
  const parts = Array.from({ length: 12 }, (_, k) =>
    block(20 + 11 * (k % 4), 10 + 11 * Math.floor(k / 4), 8, 8),
  );

  it('is the share that one of scattered parts makes up', () => {
    const some = parts.slice(0, 2);
    for (const one of wholeness(some, cellsOf(parts), [false, false], WIDTH)) expect(one).toBeCloseTo(1 / 12);
  });

  it('is 1 of pieces apart, of two side by side, and beside a bar', () => {
    const apart = [block(5, 5, 30, 30), block(45, 5, 30, 30), block(5, 45, 30, 30), block(45, 45, 30, 30)];
    const none = apart.map(() => false);
    expect(wholeness(apart, cellsOf(apart), none, WIDTH)).toEqual([1, 1, 1, 1]);
    const near = [block(5, 5, 30, 30), block(37, 5, 30, 30)];
    expect(wholeness(near, cellsOf(near), [false, false], WIDTH)).toEqual([1, 1]);
    const blocks = [block(5, 37, 8, 5), block(16, 37, 8, 5), block(27, 37, 8, 5)];
    const beside = [block(5, 5, 30, 30), ...blocks];
    expect(wholeness(beside, cellsOf(beside), [false, true, true, true], WIDTH)).toEqual([1, 1, 1, 1]);
  });
});
