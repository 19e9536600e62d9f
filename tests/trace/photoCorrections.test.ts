import { beforeAll, describe, expect, it } from 'vitest';
import { distanceToRing } from '../../src/geometry/polygonDistance.ts';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import type { Points2 } from '../../src/geometry/types.ts';
import type { Photo } from '../../src/intake/photoTypes.ts';
import { findScale } from '../../src/intake/scale.ts';
import { measure } from '../../src/measures/measure.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/measures/settings.ts';
import { refineBoundary } from '../../src/trace/photoBoundary.ts';
import { correctPiece, drawnShare } from '../../src/trace/photoCorrections.ts';
import { colourEdges } from '../../src/trace/photoEdge.ts';
import type { PhotoPiece } from '../../src/trace/photoPieces.ts';
import { DEFAULT_PHOTO_SETTINGS, DEFAULT_TRACE_SETTINGS } from '../../src/trace/settings.ts';
import { tracePhoto, withCorrections } from '../../src/trace/tracePhoto.ts';
import type { Correction } from '../../src/trace/types.ts';
import { loadOpencv } from '../intake/support/opencv.ts';
import { asPhoto, makePhoto } from '../pieces/photo.ts';
import { ringRms } from '../pieces/ringTruth.ts';

/** An oval of 40 × 24 mm at 10 px/mm, upright in the middle of 500 × 500 pixels: exact truth by construction. */
const [A, B] = [120, 200];
const [MIDDLE_X, MIDDLE_Y] = [250, 250];
const OVAL = Float64Array.from({ length: 2400 }, (_, i) => {
  const t = (2 * Math.PI * (i >> 1)) / 1200;
  return i % 2 === 0 ? 12 * Math.cos(t) : 20 * Math.sin(t);
});

/** A photograph of a flat piece, and the piece as it is traced in it. */
function taken(outline: Points2, size: number): { photo: Photo; piece: PhotoPiece; truth: Points2 } {
  const { pixels, seen } = makePhoto({
    camera: { width: size, height: size, focal: 3000, distance: 300 },
    light: { backdrop: 'white', facets: 0.3 },
    pieces: [{ outline, place: { x: 0, y: 0 }, height: 0, stone: 'flint' }],
    seed: 4,
  });
  const { ring, found } = refineBoundary(colourEdges(pixels), seen[0], { error: 2 });
  const area = Math.abs(polygonMoments([ring]).area);
  return {
    photo: asPhoto(pixels),
    piece: { ring, found, error: 0.1, soft: 0, softStretch: 0, area, kind: 'piece' },
    truth: seen[0],
  };
}

let photo: Photo;
let piece: PhotoPiece;
let truth: Points2;
beforeAll(() => {
  ({ photo, piece, truth } = taken(OVAL, 500));
});

/** Common area of two discs, radii a and b, middles d apart, by hand. */
function lens(a: number, b: number, d: number): number {
  const one = Math.acos((d * d + a * a - b * b) / (2 * d * a));
  const two = Math.acos((d * d + b * b - a * a) / (2 * d * b));
  return a * a * (one - Math.sin(2 * one) / 2) + b * b * (two - Math.sin(2 * two) / 2);
}

const stroke = (kind: 'in' | 'out', radius: number, ...points: [number, number][]): Correction => ({
  kind,
  points,
  radius,
  hand: 2,
});
const [EAST, SOUTH] = [MIDDLE_X - 0.5 + A, MIDDLE_Y - 0.5 + B];

describe('a correction by hand', () => {
  it('takes a bite of known area out of a disc of known radius, and leaves the rest to the last bit', () => {
    const round = taken(
      OVAL.map((v, i) => (i % 2 === 0 ? v / 1.2 : v / 2)),
      260,
    );
    const middle = 129.5;
    const { photo: picture, piece: before } = round;
    const after = correctPiece(before, [stroke('out', 30, [middle + 95, middle])], picture);
    const bite = lens(100, 30, 95);
    expect(Math.abs(before.area / (Math.PI * 1e4) - 1)).toBeLessThan(0.001);
    expect(Math.abs(before.area - after.area - bite)).toBeLessThan(0.003 * bite);
    const pairs = (ring: Points2) =>
      Array.from({ length: ring.length / 2 }, (_, i) => ring.slice(2 * i, 2 * i + 2).join());
    const untouched = new Set(pairs(before.ring));
    const kept = pairs(after.ring).filter((pair, i) => {
      // Near the ends of its arc the stroke crosses the edge of light: there the picture has its say.
      if (!untouched.has(pair)) return false;
      expect(after.hand?.[i]).toBe(0);
      return true;
    });
    // Both circles cross at the angles of the lens; of the way round all but the cut is left.
    const cut = Math.acos((95 ** 2 + 100 ** 2 - 30 ** 2) / (2 * 95 * 100));
    expect(Math.abs(kept.length / untouched.size - (1 - cut / Math.PI))).toBeLessThan(0.01);
    const half = Math.acos((95 ** 2 + 30 ** 2 - 100 ** 2) / (2 * 95 * 30));
    const drawn = 2 * half * 30;
    const share = drawn / (drawn + (2 * Math.PI - 2 * cut) * 100);
    expect(Math.abs(drawnShare(after).share / share - 1)).toBeLessThan(0.1);
    expect(drawnShare(after).hand).toBeCloseTo(2, 6);
  });

  it('takes the edge of light where one lies near, and the stroke where `exact` says so', () => {
    const bitten = correctPiece(piece, [{ ...stroke('out', 40, [EAST, 250]), exact: true }], photo);
    expect(Math.abs(bitten.area - piece.area)).toBeGreaterThan(2000);
    // Painted in again by a line of dabs that bulge over the true edge by about 1.5 pixels.
    const line: [number, number][] = Array.from({ length: 25 }, (_, k) => {
      const t = -0.3 + k / 40;
      return [MIDDLE_X - 0.5 + (A - 18.5) * Math.cos(t), MIDDLE_Y - 0.5 - (B - 18.5) * Math.sin(t)];
    });
    const back = [{ ...stroke('out', 40, [EAST, 250]), exact: true }, stroke('in', 20, ...line)];
    const near = correctPiece(piece, back, photo);
    expect(ringRms(near.ring, truth)).toBeLessThan(0.12);
    expect(Math.abs(near.area / piece.area - 1)).toBeLessThan(0.0005);
    expect(drawnShare(near).share).toBeLessThan(0.02);
    const drawn = correctPiece(piece, [back[0], { ...back[1], exact: true }], photo);
    expect(ringRms(drawn.ring, truth)).toBeGreaterThan(0.3);
    expect(drawnShare(drawn).share).toBeGreaterThan(0.08);
  });

  it('moves a stretch of the line: the held place goes all the way, beyond the radius nothing moves', () => {
    const held: Correction = {
      kind: 'move',
      points: [
        [EAST, 250],
        [EAST - 15, 250],
      ],
      radius: 50,
      hand: 2,
    };
    const after = correctPiece(piece, [held], photo);
    expect(distanceToRing(after.ring, EAST - 15, 250)).toBeLessThan(0.1);
    for (let i = 0; i < after.ring.length; i += 2) {
      const [x, y] = [after.ring[i], after.ring[i + 1]];
      if (Math.hypot(x - EAST, y - 250) < 50) continue;
      expect(Math.min(...distances(piece.ring, x, y))).toBe(0);
    }
    // Moved back to within a pixel and a half of the edge, it finds the edge.
    const back: Correction = {
      ...held,
      points: [
        [EAST - 15, 250],
        [EAST + 1.5, 250],
      ],
    };
    expect(ringRms(correctPiece(piece, [held, back], photo).ring, truth)).toBeLessThan(0.12);
  });

  it.each([
    ['correction-parts', 'parts the piece', stroke('out', 10, [0, 250], [499, 250])],
    ['correction-empties', 'leaves nothing', stroke('out', 300, [250, 250])],
    ['correction-outside', 'wholly outside', stroke('out', 10, [30, 30])],
    ['correction-outside', 'does not touch', stroke('in', 10, [30, 30])],
    ['correction-inside', 'wholly inside', stroke('in', 10, [250, 250])],
    ['correction-inside', 'a hole', stroke('out', 10, [250, 250])],
    [
      'correction-outside',
      'takes hold of no line',
      { ...stroke('in', 20, [250, 250], [260, 250]), kind: 'move' },
    ],
  ] as const)('that can not be is refused with one sentence: %s, %s', (code, words, correction) => {
    const good = stroke('out', 20, [EAST, 250]);
    const attempt = (): unknown => correctPiece(piece, [good, correction], photo);
    expect(attempt).toThrow(words);
    expect(attempt).toThrow(
      expect.objectContaining({ code, message: expect.stringMatching(/^Correction 2 [^.]*\.$/) }),
    );
  });
});

describe('a piece that was corrected', () => {
  const settings = { ...DEFAULT_PHOTO_SETTINGS, method: 'typed', pxPerMm: 10 } as const;
  async function valuesOf(...corrections: Correction[]) {
    const { cv } = await loadOpencv();
    const scale = findScale(photo, settings, cv);
    const corrected = withCorrections([piece], { ...settings, corrections }, photo);
    const { model } = tracePhoto(corrected, scale, settings, DEFAULT_TRACE_SETTINGS);
    const { measurements } = measure(model, DEFAULT_MEASURE_SETTINGS);
    const of = (id: string) => {
      const found = measurements.find((measurement) => measurement.id === id);
      if (typeof found?.value !== 'number') throw new Error(`no ${id}`);
      return { value: found.value, hand: found.components?.hand ?? 0, u: found.u ?? 0 };
    };
    return { of, model };
  }

  it('says how much was drawn, and only what rests on it is less certain', async () => {
    // The end is painted out 3 mm deep over its whole breadth: the length ends at the brush's edge.
    const brush: Correction = { ...stroke('out', 40, [150, SOUTH + 10], [350, SOUTH + 10]), hand: 3 };
    const { of, model } = await valuesOf(brush);
    expect(of('length').value).toBeCloseTo(40 - 3, 1);
    expect(of('length').hand).toBeCloseTo(0.3, 2);
    expect(of('length').u).toBeGreaterThan(0.3);
    expect(of('width').hand).toBeLessThan(0.01);
    expect(of('area').hand).toBeGreaterThan(1);
    expect(model.warnings.map(({ code }) => code)).toContain('outline-by-hand');
    // On the side: the width there, not the length.
    const side = await valuesOf({ ...stroke('out', 40, [EAST + 10, 200], [EAST + 10, 300]), hand: 3 });
    expect(side.of('width.at.50').value).toBeCloseTo(24 - 3, 1);
    expect(side.of('width.at.50').hand).toBeCloseTo(0.3, 2);
    expect(side.of('length').hand).toBe(0);
    const plain = await valuesOf();
    expect(plain.model.drawn).toBeUndefined();
    expect(plain.of('area').hand).toBe(0);
  });
});

function distances(ring: Points2, x: number, y: number): number[] {
  return Array.from({ length: ring.length / 2 }, (_, i) => Math.hypot(ring[2 * i] - x, ring[2 * i + 1] - y));
}
