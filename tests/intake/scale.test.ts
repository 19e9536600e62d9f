import { beforeAll, describe, expect, it } from 'vitest';
import type { Cv } from '../../src/intake/photoOpencv.ts';
import type { Photo, PhotoScale, ScaleSettings } from '../../src/intake/photoTypes.ts';
import { findScale } from '../../src/intake/scale.ts';
import { measureBar } from '../../src/intake/scaleBarEdges.ts';
import { imageToPlane } from '../../src/intake/scaleMap.ts';
import { parallaxExcess, UNTOLD } from '../../src/intake/scalePlain.ts';
import { DEFAULT_SCALE_SETTINGS } from '../../src/intake/settings.ts';
import { planPolygon } from '../pieces/outlines.ts';
import { asPhoto, type MadePhoto, makePhoto, type PhotoSpec } from '../pieces/photo.ts';
import type { BarInPhoto } from '../pieces/photoScene.ts';
import { loadOpencv } from './support/opencv.ts';

let cv: Cv;
beforeAll(async () => {
  ({ cv } = await loadOpencv());
});

/** 1200 px focal length from 250 mm: 4.8 px/mm. */
const CAMERA = { width: 760, height: 640, focal: 1200, distance: 250 };
const PIECE = {
  outline: planPolygon({ shape: 'barbed', length: 60, width: 34 }, 4).points,
  place: { x: 45, y: -20, angle: 10 },
  height: 4,
  stone: 'flint',
} as const;
const BAR: BarInPhoto = { place: { x: -12, y: 5 }, block: 10, blocks: 5, thickness: 7, rim: 5 };

function take(bars: readonly BarInPhoto[], spec: Partial<PhotoSpec> = {}): MadePhoto {
  return makePhoto({
    camera: CAMERA,
    light: { backdrop: 'wood', falloff: 0.4 },
    seed: 6,
    bars,
    pieces: [PIECE],
    labels: [{ place: { x: 20, y: 52 }, width: 50, height: 22 }],
    ...spec,
  });
}

function scaleOf(photo: Photo, settings: Partial<ScaleSettings>): PhotoScale {
  return findScale(photo, { ...DEFAULT_SCALE_SETTINGS, ...settings }, cv);
}

const BLANK: Photo = asPhoto({ width: 60, height: 40, rgba: new Uint8ClampedArray(4 * 60 * 40).fill(200) });

describe('a bar that is found by itself', () => {
  it.each([
    { angle: 0, blocks: 5, framed: false, backdrop: 'wood' },
    { angle: 33, blocks: 5, framed: true, backdrop: 'black' },
    { angle: 145, blocks: 7, framed: false, backdrop: 'white' },
    { angle: 275, blocks: 3, framed: false, backdrop: 'felt' },
  ] as const)('$blocks blocks at $angle° on $backdrop, framed $framed: within 0.1 %, seed 6', (given) => {
    const made = take(
      [{ ...BAR, blocks: given.blocks, framed: given.framed, place: { ...BAR.place, angle: given.angle } }],
      {
        light: { backdrop: given.backdrop, falloff: 0.4 },
        blur: 0.9,
        noise: 2.5,
      },
    );
    const scale = scaleOf(asPhoto(made.pixels), { block: 10 });
    expect(scale.method).toBe('bar');
    expect(Math.abs(scale.pxPerMm / 4.8 - 1)).toBeLessThan(0.001);
    expect(scale.components.edges).toBeLessThan(0.001);
    expect(scale.relative).toBeGreaterThan(UNTOLD.made);
    const { evidence } = scale;
    if (evidence.kind !== 'bar') throw new Error('no bar');
    // The ends lie on edges of blocks: whole blocks from the bar's middle, on its middle line.
    const [x0, y0] = made.camera.toPlane(evidence.ends[0], evidence.ends[1], 0);
    const turn = (-given.angle * Math.PI) / 180;
    const [u, v] = [x0 - BAR.place.x, y0 - BAR.place.y];
    const along = Math.cos(turn) * u - Math.sin(turn) * v;
    expect(Math.abs(Math.sin(turn) * u + Math.cos(turn) * v)).toBeLessThan(0.3);
    const inBlocks = along / 10 + given.blocks / 2;
    expect(Math.abs(inBlocks - Math.round(inBlocks))).toBeLessThan(0.01);
  });

  it('sees blocks to which the ticks of a ruler hang on', () => {
    // 12 px a millimetre: four blocks of 10 mm, ticks 0.25 mm broad at every millimetre below them, on white card on grey.
    const [width, height, px] = [700, 300, 12];
    const rgba = new Uint8ClampedArray(4 * width * height).fill(255);
    for (let v = 0, i = 0; v < height; v++) {
      for (let u = 0; u < width; u++, i += 4) {
        const [x, y] = [(u - 100) / px, (v - 100) / px];
        const card = x > -4 && x < 44 && y > -4 && y < 13;
        const block = x >= 0 && x < 40 && y >= 0 && y < 6 && Math.floor(x / 10) % 2 === 0;
        const tick = x >= 0 && x < 40.25 && y >= 6 && y < 9 && x % 1 < 0.25;
        rgba.fill(block || tick ? 25 : card ? 235 : 130, i, i + 3);
      }
    }
    const { pxPerMm } = scaleOf(asPhoto({ width, height, rgba }), { method: 'bar', block: 10 });
    expect(Math.abs(pxPerMm / px - 1)).toBeLessThan(0.001);
  });

  it('takes the length of the whole bar as well, and makes good the ends that it can’t see', () => {
    // A white block on a white card has no end: nine blocks are seen of ten.
    const photo = asPhoto(take([{ ...BAR, block: 8, blocks: 10, rim: 3 }], { pieces: [] }).pixels);
    const byBlock = scaleOf(photo, { block: 8 });
    expect(byBlock.evidence).toMatchObject({ kind: 'bar', blocks: 9, length: 72 });
    // 80 mm in 9, 10, 11 or 12 blocks: none is of a length that bars are made with.
    expect(() => scaleOf(photo, { length: 80 })).toThrow(/give the length of one block/);
    expect(scaleOf(photo, { length: 100 }).evidence).toMatchObject({ block: 10 });
  });

  it('says that the picture was not taken square when the blocks grow along the bar', () => {
    const made = take([{ ...BAR, blocks: 7, place: { x: 0, y: 5 } }], {
      camera: { ...CAMERA, tilt: 6, azimuth: 0 },
      pieces: [],
    });
    const scale = scaleOf(asPhoto(made.pixels), { block: 10 });
    expect(scale.warnings.map(({ code }) => code)).toContain('bar-leaning');
    // The scale changes by 70·sin 6°/250 = 2.9 % from end to end, and foreshortening by as much again.
    expect(scale.components.lean).toBeCloseTo(0.029, 2);
  });

  it('refuses bars that contradict each other, and pictures without any', () => {
    const two = take([BAR, { ...BAR, block: 7, place: { x: -12, y: -30, angle: 20 } }], { pieces: [] });
    expect(() => scaleOf(asPhoto(two.pixels), { block: 10 })).toThrow(/more than one scale bar/);
    for (const backdrop of ['wood', 'felt', 'white'] as const) {
      const photo = asPhoto(take([], { light: { backdrop } }).pixels);
      expect(() => scaleOf(photo, { block: 10 })).toThrow(/^No scale bar was found/);
    }
    expect(() => scaleOf(BLANK, { method: 'bar' })).toThrow(/length of one block/);
    expect(() => scaleOf(BLANK, { method: 'bar', block: 10 })).toThrow(/^No scale bar was found/);
  });
});

/** 12 px a millimetre, 78 × 40 mm: codes by place in mm, noise-free, each pixel the mean of 3 × 3 places. */
function drawn(code: (x: number, y: number) => number): Photo {
  const [width, height, px, steps] = [936, 480, 12, 3];
  const rgba = new Uint8ClampedArray(4 * width * height).fill(255);
  for (let v = 0, i = 0; v < height; v++) {
    for (let u = 0; u < width; u++, i += 4) {
      let sum = 0;
      for (let k = 0; k < steps * steps; k++) {
        sum += code((u + (0.5 + (k % steps)) / steps) / px, (v + (0.5 + Math.floor(k / steps)) / steps) / px);
      }
      rgba.fill(sum / (steps * steps), i, i + 3);
    }
  }
  return asPhoto({ width, height, rgba });
}

const [INK, PAPER, CLOTH] = [25, 238, 130];

/** A card with a row of blocks from (x0, y0) on, the first black. */
function barAt(x0: number, y0: number, block: number, blocks: number, high: number) {
  return (x: number, y: number): number | undefined => {
    const [u, v] = [x - x0, y - y0];
    if (u < -3 || u > blocks * block + 3 || v < -2 || v > high + 2) return undefined;
    const within = u >= 0 && u < blocks * block && v >= 0 && v < high;
    return within && Math.floor(u / block) % 2 === 0 ? INK : PAPER;
  };
}

describe('what looks like a bar', () => {
  it('is none where it is the even stripes of a barcode', () => {
    const code = (x: number, y: number): number | undefined => {
      if (x < 5 || x > 33 || y < 3 || y > 16) return undefined;
      return x > 7 && x < 31 && y > 5 && y < 14 && Math.floor(x / 1.2) % 2 === 0 ? INK : PAPER;
    };
    const bar = barAt(10, 24, 10, 5, 6);
    const both = drawn((x, y) => code(x, y) ?? bar(x, y) ?? CLOTH);
    for (const told of [{ block: 10 }, { length: 50 }]) {
      expect(Math.abs(scaleOf(both, told).pxPerMm / 12 - 1)).toBeLessThan(0.001);
    }
    const alone = drawn((x, y) => code(x, y) ?? CLOTH);
    expect(() => scaleOf(alone, { block: 10 })).toThrow(/^No scale bar was found/);
  });

  it('is none where lines cross an even ground: blocks are light and dark inside too', () => {
    // Five blocks of 60 px from x = 0 on; edges at odd multiples of 30 px, soft over a pixel or two.
    const soft = (t: number): number => 1 / (1 + Math.exp(-4 * t));
    const chain = { middles: Float64Array.of(0, 0, 120, 0, 240, 0), block: 60, across: 30 };
    const blocks = (x: number): number => {
      const t = x / 60 + 0.5;
      const off = (t - Math.round(t)) * 60;
      return Math.round(t) % 2 === 0 ? soft(-off) : soft(off);
    };
    const bar = measureBar((x) => 0.03 + 0.6 * blocks(x), chain);
    expect(bar?.block).toBeCloseTo(60, 2);
    const lined = (x: number): number => {
      const t = x / 60 + 0.5;
      const off = (t - Math.round(t)) * 60;
      return soft(2 - off) * soft(off + 2);
    };
    const first = (x: number): number => soft(x + 30) * soft(30 - x);
    expect(measureBar((x) => 0.03 + 0.9 * lined(x) + 0.2 * first(x), chain)).toBeUndefined();
  });

  it('is none where it is a checked cloth', () => {
    const checked = drawn((x, y) => 230 - 95 * ((Math.floor(x / 4) % 2) + (Math.floor(y / 4) % 2)));
    expect(() => scaleOf(checked, { block: 10 })).toThrow(/^No scale bar was found/);
  });
});

describe('a bar that does not tell what its blocks are', () => {
  it('is refused with rows of unlike blocks, unless the whole length is told', () => {
    const fine = (x: number, y: number): number | undefined =>
      y >= 12 && y < 16 && x >= 10 && x < 60 ? (Math.floor(x / 5) % 2 === 0 ? INK : PAPER) : undefined;
    const coarse = barAt(10, 17, 10, 5, 4);
    const photo = drawn((x, y) => fine(x, y) ?? (y < 16 ? undefined : coarse(x, y)) ?? PAPER);
    expect(() => scaleOf(photo, { block: 10 })).toThrow(/unlike length|more than one scale bar/);
    expect(Math.abs(scaleOf(photo, { length: 50 }).pxPerMm / 12 - 1)).toBeLessThan(0.001);
  });

  it('is refused by its whole length where it runs out of the picture, and measured by a block', () => {
    // Five and a half of ten blocks of 5 mm: 50 mm in five blocks would be blocks of 10 mm.
    const bar = barAt(78 - 27.5, 15, 5, 10, 5);
    const photo = drawn((x, y) => bar(x, y) ?? CLOTH);
    expect(() => scaleOf(photo, { length: 50 })).toThrow(/may run out of the picture or be covered/);
    expect(Math.abs(scaleOf(photo, { block: 5 }).pxPerMm / 12 - 1)).toBeLessThan(0.001);
  });

  it('is refused by its whole length where something covers a block of it', () => {
    const bar = barAt(12, 15, 5, 10, 5);
    const photo = drawn((x, y) => (x > 34 && y > 8 && y < 30 ? 170 : (bar(x, y) ?? CLOTH)));
    expect(() => scaleOf(photo, { length: 50 })).toThrow(/give the length of one block/);
    expect(Math.abs(scaleOf(photo, { block: 5 }).pxPerMm / 12 - 1)).toBeLessThan(0.001);
  });

  it('is taken by its whole length where all of its blocks are seen: three of 10 mm are not six of 5', () => {
    const photo = drawn((x, y) =>
      y < 12 || y > 20 || x < 20 || x >= 50 ? 20 : x < 30 || x >= 40 ? PAPER : INK,
    );
    expect(scaleOf(photo, { length: 30 }).evidence).toMatchObject({ block: 10, blocks: 3 });
  });
});

describe('a bar whose length nobody tells', () => {
  it('is asked for, and is weighed against the file’s resolution', () => {
    const photo = asPhoto(take([BAR], { pieces: [] }).pixels);
    const tagged = (pxPerMm: number): Photo => ({ ...photo, resolution: { pxPerMm, source: 'pHYs' } });
    expect(() => scaleOf(photo, {})).toThrow(/shows a scale bar: give the length of one of its blocks/);
    // 48 pixels a block: 5 mm at 9.6 px/mm and 2 mm at 24 px/mm are as bars are made, 8 mm at 6 px/mm are not.
    for (const pxPerMm of [9.6, 24]) expect(scaleOf(tagged(pxPerMm), {}).method).toBe('tag');
    expect(() => scaleOf(tagged(6), {})).toThrow(/does not agree with the resolution/);
    expect(scaleOf(tagged(6), { method: 'tag' }).pxPerMm).toBe(6);
  });
});

describe('scales that a person or the file tells', () => {
  it('two points and a length', () => {
    const scale = scaleOf(BLANK, { method: 'points', points: [5, 5, 35, 45], length: 10 });
    expect(scale.pxPerMm).toBeCloseTo(5, 12);
    expect(scale.components.points).toBeCloseTo(Math.SQRT2 / 50, 12);
    const [x, y] = imageToPlane(scale, Float64Array.of(20, 30));
    expect([x, y]).toEqual([4, -6]);
    expect(() => scaleOf(BLANK, { method: 'points', points: [5, 5, 6, 5], length: 10 })).toThrow(
      /too near together/,
    );
    expect(() => scaleOf(BLANK, { method: 'points', length: 10 })).toThrow(/must be given/);
  });

  it('pixels in a millimetre', () => {
    expect(scaleOf(BLANK, { method: 'typed', pxPerMm: 12.5 })).toMatchObject({
      pxPerMm: 12.5,
      method: 'typed',
    });
    for (const pxPerMm of [0, -1, Number.NaN, Infinity]) {
      expect(() => scaleOf(BLANK, { method: 'typed', pxPerMm })).toThrow(/above 0/);
    }
  });

  it('the file’s resolution: taken when it is credible, asked for or not, and never a camera’s by itself', () => {
    const tagged = (dpi: number, more: Partial<Photo> = {}): Photo => ({
      ...BLANK,
      resolution: { pxPerMm: dpi / 25.4, source: 'TIFF' },
      ...more,
    });
    const scan = scaleOf(tagged(600), {});
    expect(scan).toMatchObject({ method: 'tag', evidence: { kind: 'tag', source: 'TIFF' } });
    expect(scan.pxPerMm).toBeCloseTo(600 / 25.4, 12);
    expect(scan.warnings.map(({ code }) => code)).toEqual(['scale-from-tag']);
    for (const photo of [
      tagged(72),
      tagged(300, { camera: true }),
      tagged(300, { focal35: 50 }),
      tagged(300, { width: 6000 }),
      BLANK,
    ]) {
      expect(() => scaleOf(photo, {})).toThrow(/^No scale was found/);
    }
    expect(scaleOf(tagged(300, { camera: true }), { method: 'tag' }).pxPerMm).toBeCloseTo(300 / 25.4, 12);
    expect(() => scaleOf(BLANK, { method: 'tag' })).toThrow(/tells no resolution/);
    // Who asks for a camera's number gets it, and is told what it is.
    const [habit] = scaleOf(tagged(72, { camera: true }), { method: 'tag' }).warnings;
    expect(habit.text).toMatch(/72 dots an inch.*cameras write a number out of habit/);
    // 4000 pixels at one dot an inch would be a hundred metres.
    expect(() => scaleOf(tagged(1, { width: 4000 }), { method: 'tag' })).toThrow(
      /1 dot an inch.*101600 mm long/,
    );
    expect(() => scaleOf(tagged(65535), { method: 'tag' })).toThrow(/no scanner sees/);
    // Who tells a bar's length wants the bar, not a tag in its stead.
    expect(() => scaleOf(tagged(600), { block: 10 })).toThrow(/^No scale bar was found/);
  });
});

describe('parallax without a mat', () => {
  it('is Z/(Z − h): 5 mm from 400 mm is 1.27 %', () => {
    expect(parallaxExcess(5, 400)).toBeCloseTo(400 / 395 - 1, 12);
  });

  it('is said for the distance that is told, that the lens gives, or 400 mm', () => {
    const said = (photo: Photo, settings: Partial<ScaleSettings> = {}): string =>
      scaleOf(photo, { method: 'typed', pxPerMm: 10, ...settings }).warnings[0].text;
    expect(said(BLANK, { cameraDistance: 505 })).toContain('looks 1.0 % too large from 505 mm');
    expect(said(BLANK)).toContain('looks 1.3 % too large from 400 mm');
    // 52 mm on film is 1.2019 diagonals, here of 7211 px: 8667 px at 10 px/mm is 867 mm.
    expect(said({ ...BLANK, width: 6000, height: 4000, focal35: 52 })).toMatch(
      /looks 0\.6 % too large from 867 mm \(by the lens’s focal length\)/,
    );
  });
});
