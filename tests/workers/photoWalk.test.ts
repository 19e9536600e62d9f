import sharp from 'sharp';
import { beforeAll, describe, expect, test, vi } from 'vitest';
import { decodeInNode } from '../../src/intake/photoNode.ts';
import type { Cv } from '../../src/intake/photoOpencv.ts';
import { measurePhoto } from '../../src/record/measurePhoto.ts';
import { type AllSettings, DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { DEFAULT_PHOTO_SETTINGS } from '../../src/trace/settings.ts';
import * as tracing from '../../src/trace/tracePhoto.ts';
import { cutOut, drawLines } from '../../workers/photoDrawing.ts';
import { PhotoWalk } from '../../workers/photoWalk.ts';
import { countingOpencv, loadOpencv } from '../intake/support/opencv.ts';
import { planPolygon } from '../pieces/outlines.ts';
import { makePhoto } from '../pieces/photo.ts';

vi.mock(import('../../src/trace/tracePhoto.ts'), { spy: true });

const NAME = 'folder/two pieces.png';
let bytes: Uint8Array<ArrayBuffer>;
/** The leftmost place of the first piece, pixels. */
let edge: [number, number];
let counted: { cv: Cv; alive: () => number };

beforeAll(async () => {
  const { pixels, seen } = makePhoto({
    camera: { width: 640, height: 480, focal: 1200, distance: 400 },
    light: { backdrop: 'white' },
    pieces: [
      {
        outline: planPolygon({ shape: 'lanceolate', length: 90, width: 38 }, 1).points,
        place: { x: -40, y: -45, angle: 8 },
        height: 0,
        stone: 'flint',
      },
      {
        outline: planPolygon({ shape: 'ovate', length: 60, width: 40 }, 1).points,
        place: { x: 45, y: -30 },
        height: 0,
        stone: 'flint',
      },
    ],
    seed: 3,
  });
  const [ring] = seen;
  edge = [Infinity, 0];
  for (let i = 0; i < ring.length; i += 2) if (ring[i] < edge[0]) edge = [ring[i], ring[i + 1]];
  const raw = { width: 640, height: 480, channels: 4 } as const;
  bytes = Uint8Array.from(await sharp(Buffer.from(pixels.rgba.buffer), { raw }).png().toBuffer());
  counted = countingOpencv((await loadOpencv()).cv);
}, 60_000);

const typed = (pxPerMm: number, piece: number): AllSettings => ({
  ...DEFAULT_SETTINGS,
  photo: { ...DEFAULT_PHOTO_SETTINGS, method: 'typed', pxPerMm, piece },
});

/** The point with a bite out of its left side, and what a second hand put back of it. */
const corrected = (...points: [number, number][]): AllSettings => {
  const { photo, ...rest } = typed(3, 1);
  const corrections = points.map(
    // The second is wider: a dab that fills the first one's bite exactly touches what is left along a line only.
    ([x, y], k) => ({ kind: k === 0 ? 'out' : 'in', points: [[x, y]], radius: 12 + 2 * k, hand: 1 }) as const,
  );
  return { ...rest, photo: { ...DEFAULT_PHOTO_SETTINGS, ...photo, corrections } };
};

describe('the walk of a photograph stage by stage', () => {
  test('makes the record of measurePhoto, seeks pieces once for all scales, and frees what it took', async () => {
    const { cv, alive } = counted;
    const walk = new PhotoWalk(new Blob([bytes]), NAME, decodeInNode);
    const sought = vi.mocked(tracing.candidatesOf);
    const on = async (settings: AllSettings) => {
      const photo = await walk.read({});
      const scale = walk.scale(photo, settings.photo ?? DEFAULT_PHOTO_SETTINGS, cv, {});
      const traced = walk.trace(photo, walk.candidates(photo, scale, cv, {}), scale, settings);
      const result = walk.measure(traced, settings, {});
      return walk.record(photo, scale, { traced, kept: [], warnings: [] }, result, settings);
    };
    const records = [];
    const all = [typed(3, 1), typed(3, 2), typed(2.9, 2), corrected(edge), corrected(edge, edge)];
    for (const settings of all) records.push(await on(settings));
    expect(sought).toHaveBeenCalledOnce();
    expect(alive()).toBe(0);
    for (const [k, settings] of all.entries()) {
      const { record } = await measurePhoto(bytes, NAME, settings, { decode: decodeInNode, cv });
      expect(records[k]).toEqual(record);
    }
    const areas = records.map(
      ({ measurements }) => measurements.find(({ id }) => id === 'area')?.value as number,
    );
    expect(areas[3]).toBeLessThan(areas[0] - 10);
    // Painted in again over the same place the piece has all it had, and the dab's other half beside.
    expect(areas[4]).toBeGreaterThan(areas[0] - 1);
    expect(records[3].source).toMatchObject({ boundary: { drawn: { error: 1 } } });
    expect(records[3].settings.photo?.corrections).toHaveLength(1);
    const [first, second, smaller] = records.map(({ frame }) => frame.length);
    expect(first).not.toBe(second);
    expect(smaller / second).toBeCloseTo(3 / 2.9, 6);
  });

  test('Face B, traced as seen through the piece, is cut out as its photograph shows it', async () => {
    const { cv } = counted;
    const walk = new PhotoWalk(new Blob([bytes]), NAME, decodeInNode);
    const photo = await walk.read({});
    // Its bitten side tells a picture from its mirror image.
    const settings = corrected(edge);
    const told = settings.photo ?? DEFAULT_PHOTO_SETTINGS;
    const scale = walk.scale(photo, told, cv, {});
    const candidates = walk.corrected(walk.candidates(photo, scale, cv, {}), told, photo);
    const [seen, through] = [false, true].map((behind) =>
      cutOut(
        photo,
        scale,
        tracing.tracePhoto(candidates, scale, told, settings.trace, { mirrored: behind }),
        behind,
      ),
    );
    expect(through.x).toBeCloseTo(seen.x, 1);
    expect(through.pixels.width).toBe(seen.pixels.width);
    const half = seen.pixels.width / 2;
    let [apart, mirrored, inside] = [0, 0, 0];
    for (let k = 0; k < seen.pixels.width * seen.pixels.height; k++) {
      const column = k % seen.pixels.width;
      const turned = k - column + Math.round(2 * half - 1 - column);
      const alpha = seen.pixels.rgba[4 * k + 3];
      inside += Number(alpha > 0);
      apart += Number(alpha !== through.pixels.rgba[4 * k + 3]);
      mirrored += Number(alpha !== through.pixels.rgba[4 * turned + 3]);
    }
    expect(apart / inside).toBeLessThan(0.02);
    expect(mirrored / inside).toBeGreaterThan(0.03);
  });

  test('stretches of its outline that are in doubt are told apart, also across where the outline begins', async () => {
    const { cv } = counted;
    const walk = new PhotoWalk(new Blob([bytes]), NAME, decodeInNode);
    const photo = await walk.read({});
    const settings = typed(3, 1);
    const scale = walk.scale(photo, settings.photo ?? DEFAULT_PHOTO_SETTINGS, cv, {});
    const traced = walk.trace(photo, walk.candidates(photo, scale, cv, {}), scale, settings);
    const { outline } = traced.model;
    const n = outline.outer.length / 2;
    expect(outline.errors).toHaveLength(n);
    const doubtful = (i: number): boolean => i < 5 || i >= n - 7 || (i >= 100 && i < 120);
    const withErrors = (errors: Float64Array) => ({
      ...traced,
      model: { ...traced.model, outline: { ...outline, errors } },
    });
    // Three pixels in a millimetre: 2 and 0.5 pixels.
    const errors = Float64Array.from({ length: n }, (_, i) => (doubtful(i) ? 2 / 3 : 0.5 / 3));
    const { doubted, outline: rings } = drawLines(scale, withErrors(errors));
    expect(doubted.map((run) => run.length / 2)).toEqual([20, 12]);
    expect(doubted[0][0]).toBeCloseTo(rings[0][200], 3);
    expect(doubted[1][0]).toBeCloseTo(rings[0][2 * (n - 7)], 3);
    expect(drawLines(scale, withErrors(new Float64Array(n).fill(0.2))).doubted).toEqual([]);
    expect(drawLines(scale, withErrors(new Float64Array(n).fill(1))).doubted).toHaveLength(1);
  });

  test('stops at a cancel', async () => {
    const abort = new AbortController();
    abort.abort();
    const walk = new PhotoWalk(new Blob([bytes]), NAME, decodeInNode);
    await expect(walk.read({ signal: abort.signal })).rejects.toThrow(/abort/i);
  });
});
