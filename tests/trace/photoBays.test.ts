import { describe, expect, it } from 'vitest';
import { withoutInlets } from '../../src/trace/photoBays.ts';
import type { Region } from '../../src/trace/photoRegion.ts';

const [WIDTH, HEIGHT] = [120, 90];

/** An oval piece with what `cut` takes out of it; cells of the picture begin at (7, 5). */
function oval(cut: (x: number, y: number) => boolean): Region {
  const mask = new Uint8Array(WIDTH * HEIGHT);
  for (let y = 0, i = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++, i++) {
      const within = ((x - 60) / 58) ** 2 + ((y - 45) / 42) ** 2 < 1;
      mask[i] = within && !cut(x, y) ? 1 : 0;
    }
  }
  return { left: 7, top: 5, width: WIDTH, height: HEIGHT, mask };
}

/** Nothing is sure to be no glint. */
const none = (): boolean => false;

const areaOf = ({ mask }: Region): number => mask.reduce((sum, one) => sum + one, 0);

describe('withoutInlets', () => {
  it('fills a glint that runs from the rim far into the piece, and says where its mouth was', () => {
    const whole = areaOf(oval(() => false));
    const { region, mouths } = withoutInlets(
      oval((x, y) => x > 40 && Math.abs(y - 45) < 3),
      none,
    );
    expect(areaOf(region)).toBeGreaterThan(0.998 * whole);
    expect(region.firm?.[45 * WIDTH + 70]).toBe(1);
    for (const { x, y } of mouths) {
      expect(x - 7).toBeGreaterThan(112);
      expect(Math.abs(y - 5 - 45)).toBeLessThan(4);
    }
    expect(mouths.length).toBeGreaterThan(2);
    expect(mouths[0].wide).toBe(mouths.length);
  });

  it('leaves a long narrow notch that shows a coloured backdrop or a shadow on it, as no glint does', () => {
    const slit = (x: number, y: number): boolean => x > 40 && Math.abs(y - 45) < 3;
    const before = oval(slit);
    const { region, mouths } = withoutInlets(before, (x, y) => slit(x - 7, y - 5));
    expect(region).toBe(before);
    expect(mouths).toEqual([]);
  });

  it.each([
    ['a notch as deep as it is wide', (x: number, y: number) => x > 104 && Math.abs(y - 45) < 6],
    [
      'a keyhole notch',
      (x: number, y: number) => (x > 104 && Math.abs(y - 45) < 4) || Math.hypot(x - 100, y - 45) < 7,
    ],
    ['a bay with a wide mouth', (x: number, y: number) => x > 60 && Math.abs(y - 45) < 14],
  ])('leaves %s', (_, cut) => {
    const before = oval(cut);
    const { region, mouths } = withoutInlets(before, none);
    expect(region).toBe(before);
    expect(mouths).toEqual([]);
  });
});
