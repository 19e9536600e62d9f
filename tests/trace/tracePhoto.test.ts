import { beforeAll, describe, expect, it } from 'vitest';
import type { Points2 } from '../../src/geometry/types.ts';
import type { Cv } from '../../src/intake/photoOpencv.ts';
import { findScale } from '../../src/intake/scale.ts';
import { piecesOfPhoto } from '../../src/trace/photoPieces.ts';
import { softError } from '../../src/trace/photoWarnings.ts';
import { DEFAULT_PHOTO_SETTINGS, DEFAULT_TRACE_SETTINGS } from '../../src/trace/settings.ts';
import { candidatesOf, tracePhoto } from '../../src/trace/tracePhoto.ts';
import { countingOpencv, loadOpencv } from '../intake/support/opencv.ts';
import { planPolygon } from '../pieces/outlines.ts';
import { asPhoto, type MadePhoto, makePhoto, type PhotoSpec } from '../pieces/photo.ts';
import type { Backdrop } from '../pieces/photoLight.ts';
import type { Stone } from '../pieces/photoScene.ts';
import { ringOverlap, ringRms } from '../pieces/ringTruth.ts';

let cv: Cv;
beforeAll(async () => {
  ({ cv } = await loadOpencv());
});

/** Origin in the middle. */
function outlineOf(shape: 'side-notched' | 'cordate' | 'lanceolate', length: number, width: number): Points2 {
  const { points } = planPolygon({ shape, length, width }, 4);
  return points.map((v, i) => (i % 2 === 0 ? v : v - length / 2));
}

const NOTCHED = outlineOf('side-notched', 40, 22);

/** 10 px/mm: a notched point of 40 mm with a bar of six blocks and a label, facets of 40 % on the stone. */
function take(
  stone: Stone,
  backdrop: Backdrop,
  shadow: number,
  seed: number,
  spec: Partial<PhotoSpec> = {},
): MadePhoto {
  return makePhoto({
    camera: { width: 860, height: 640, focal: 3000, distance: 300 },
    light: { backdrop, shadow, softness: 2.5, falloff: 0.4, from: 50 * seed, facets: 0.4 },
    pieces: [{ outline: NOTCHED, place: { x: 14, y: 0, angle: 40 * seed }, height: 4, stone }],
    bars: [{ place: { x: -24, y: -18, angle: 2 }, block: 5, blocks: 6, thickness: 4, rim: 3 }],
    labels: [{ place: { x: -24, y: 18 }, width: 30, height: 16 }],
    seed,
    blur: 0.9,
    noise: 2,
    ...spec,
  });
}

describe('a piece on a backdrop, with a bar, a label and its shadow: IoU ≥ 0.99, boundary within 0.1 mm RMS', () => {
  it.each([
    ['flint', 'white', 0.6, 1],
    ['obsidian', 'white', 0.4, 2],
    ['jasper', 'grey', 0.5, 3],
    ['pale', 'black', 0.5, 4],
    ['flint', 'blue', 0.5, 5],
    ['obsidian', 'wood', 0.6, 6],
    ['pale', 'felt', 0.4, 7],
    // The stone's lit facets are as bright as the shadow beside them: only colour tells them apart.
    ['pale', 'white', 0.6, 3],
    ['flint', 'cloth', 0.5, 7],
  ] as const)('%s on %s, shadow %s, seed %i', (stone, backdrop, shadow, seed) => {
    const { pixels, seen } = take(stone, backdrop, shadow, seed);
    const counting = countingOpencv(cv);
    const pieces = piecesOfPhoto(asPhoto(pixels), {}, counting.cv);
    expect(counting.alive()).toBe(0);
    expect(pieces[0].kind).toBe('piece');
    expect(ringOverlap(pieces[0].ring, seen[0], pixels.width, pixels.height)).toBeGreaterThan(0.99);
    // 10 px/mm.
    expect(ringRms(pieces[0].ring, seen[0])).toBeLessThan(1);
    expect(ringRms(seen[0], pieces[0].ring)).toBeLessThan(1);
    expect(pieces[0].found).toBeGreaterThan(0.9);
    // Label and bar stand off the backdrop too, where it is not white: as cards.
    for (const { kind } of pieces.slice(1)) expect(kind).not.toBe('piece');
  });
});

describe('what the light hides', () => {
  const LEAF = outlineOf('cordate', 44, 26);
  const greatest = (stone: Stone, backdrop: Backdrop, seed: number) => {
    const pieces = [{ outline: LEAF, place: { x: 14, y: 0, angle: 40 * seed }, height: 4, stone }];
    const { pixels, seen } = take(stone, backdrop, 0, seed, { pieces });
    const piece = piecesOfPhoto(asPhoto(pixels), {}, cv)[0];
    const overlap = piece && ringOverlap(piece.ring, seen[0], pixels.width, pixels.height);
    return { piece, overlap };
  };

  it.each([2, 6])(
    'glints at the rim as bright as the backdrop, closed in by its sharp edge, are no notches; seed %i',
    (seed) => {
      expect(greatest('obsidian', 'grey', seed).overlap).toBeGreaterThan(0.99);
    },
  );

  it('the soft edge of a glint that is left out is told; seed 7', () => {
    const { piece } = greatest('obsidian', 'grey', 7);
    expect(piece.softStretch).toBeGreaterThan(0.03);
    // Told in numbers too: a soft edge may lie as far off as it is soft.
    expect(softError(piece)).toBeGreaterThan(0.1);
    expect(softError({ soft: 0.02, softStretch: 0.01 })).toBe(0);
  });

  it('a hard shadow that an edge closes in with the stone is no stone; seed 12', () => {
    const { pixels, seen } = take('flint', 'blue', 0, 12, {
      light: { backdrop: 'blue', shadow: 0.65, softness: 0.3, from: 200, facets: 0.4 },
    });
    const piece = piecesOfPhoto(asPhoto(pixels), {}, cv)[0];
    expect(ringOverlap(piece.ring, seen[0], pixels.width, pixels.height)).toBeGreaterThan(0.99);
  });

  it('black stone on black is refused, glints or none; seed 3', () => {
    const { piece } = greatest('obsidian', 'black', 3);
    expect(piece === undefined || piece.found < 0.75).toBe(true);
  });

  it('a hard and deep shadow beside stone of another colour is left out, and told; seed 5', () => {
    const { pixels, seen } = take('jasper', 'grey', 0, 5, {
      light: { backdrop: 'grey', shadow: 0.8, softness: 0.6, from: 60, facets: 0.4 },
    });
    const piece = piecesOfPhoto(asPhoto(pixels), {}, cv)[0];
    expect(ringOverlap(piece.ring, seen[0], pixels.width, pixels.height)).toBeGreaterThan(0.99);
    expect(ringRms(piece.ring, seen[0])).toBeLessThan(1);
    expect(piece.hemmed).toBeGreaterThan(0.05);
  });

  it.each([
    ['jasper', 'white', 1, 1],
    ['jasper', 'grey', 1, 1],
    ['obsidian', 'white', 2, 1],
  ] as const)(
    'a shadow darker than most, of a lamp alone, is no stone: %s on %s, soft over %s px, seed %i',
    (stone, backdrop, softness, seed) => {
      const { pixels, seen } = take(stone, backdrop, 0.85, seed, {
        light: { backdrop, shadow: 0.85, softness, falloff: 0.4, from: 50 * seed, facets: 0.4 },
      });
      const [piece] = piecesOfPhoto(asPhoto(pixels), {}, cv);
      expect(ringOverlap(piece.ring, seen[0], pixels.width, pixels.height)).toBeGreaterThan(0.99);
      expect(ringRms(piece.ring, seen[0])).toBeLessThan(1);
    },
  );

  it.each([
    ['pale', 'white'],
    ['flint', 'grey'],
  ] as const)(
    'facets of %s on %s that are much like it stay, whose own edge is sharp; seed 1',
    (stone, backdrop) => {
      const { pixels, seen } = take(stone, backdrop, 0.65, 1, {
        light: { backdrop, shadow: 0.65, softness: 2, falloff: 0.4, from: 50, facets: 0.4 },
        bars: [],
        labels: [],
      });
      const [piece] = piecesOfPhoto(asPhoto(pixels), {}, cv);
      expect(ringOverlap(piece.ring, seen[0], pixels.width, pixels.height)).toBeGreaterThan(0.99);
    },
  );

  it('the lines of a cutting mat are no piece, and are told; seed 4', () => {
    const { piece, overlap } = greatest('flint', 'lined', 4);
    expect(piece.kind).toBe('piece');
    expect(piece.lined).toBe(true);
    expect(overlap).toBeGreaterThan(0.99);
  });
});

describe('a traced photograph', () => {
  it('gives length and width within 0.3 % with a bar at the height of the margin, seed 8', () => {
    const { pixels } = take('jasper', 'grey', 0.5, 8, {
      pieces: [{ outline: NOTCHED, place: { x: 14, y: 0, angle: 70 }, height: 0, stone: 'jasper' }],
    });
    const photo = asPhoto(pixels);
    const settings = { ...DEFAULT_PHOTO_SETTINGS, method: 'bar', block: 5 } as const;
    const scale = findScale(photo, settings, cv);
    const traced = tracePhoto(candidatesOf(photo, scale, cv), scale, settings, DEFAULT_TRACE_SETTINGS);
    expect(Math.abs(traced.model.length / 40 - 1)).toBeLessThan(0.003);
    const widths = traced.model.midline.rightX.map((right, k) => right - traced.model.midline.leftX[k]);
    expect(Math.abs(Math.max(...widths) / 22 - 1)).toBeLessThan(0.003);
    expect(traced.model.frame.faceA).toBe('photographed');
    expect(traced.model.surface).toBeUndefined();
  });

  it.each([
    ['the right pixels in a millimetre', 10, []],
    ['too few by an eighth', 8.75, ['scale-contradicted']],
  ])('a bar that is seen beside a typed scale is held to it: %s, seed 8', (_, pxPerMm, codes) => {
    const photo = asPhoto(take('jasper', 'grey', 0.5, 8).pixels);
    const settings = { ...DEFAULT_PHOTO_SETTINGS, method: 'typed', pxPerMm } as const;
    const scale = findScale(photo, settings, cv);
    const candidates = candidatesOf(photo, scale, cv);
    // Blocks of 5 mm, on one of two cards: the other is a label.
    const coarser = candidatesOf(asPhoto(photo, 2), scale, cv);
    for (const seen of [candidates, coarser]) {
      const blocks = seen.flatMap(({ block }) => block ?? []);
      expect(blocks.length).toBe(1);
      expect(Math.abs(blocks[0] / 50 - 1)).toBeLessThan(0.003);
    }
    const { warnings } = tracePhoto(candidates, scale, settings, DEFAULT_TRACE_SETTINGS).model;
    expect(warnings.map(({ code }) => code).filter((code) => code === 'scale-contradicted')).toEqual(codes);
  });

  it('gives length and width within 0.3 % at 8° of tilt with the mat, the margin 6 mm up, seed 9', () => {
    const outline = outlineOf('cordate', 90, 50);
    const { pixels } = makePhoto({
      camera: {
        width: 1500,
        height: 2050,
        focal: 3100,
        distance: 450,
        tilt: 8,
        azimuth: 100,
        roll: 3,
        k1: -0.03,
      },
      light: { backdrop: 'wood', falloff: 0.4, from: 80, shadow: 0.5, softness: 3, facets: 0.4 },
      mat: 'A4',
      pieces: [{ outline, place: { x: 5, y: -10, angle: 37 }, height: 6, stone: 'flint' }],
      seed: 9,
    });
    const photo = asPhoto(pixels, 2);
    const settings = { ...DEFAULT_PHOTO_SETTINGS, printedBar: 100, thickness: 12 };
    const scale = findScale(photo, settings, cv);
    expect(scale.method).toBe('mat');
    const { model, marginHeight } = tracePhoto(
      candidatesOf(photo, scale, cv),
      scale,
      settings,
      DEFAULT_TRACE_SETTINGS,
    );
    expect(marginHeight.value).toBe(6);
    expect(Math.abs(model.length / 90 - 1)).toBeLessThan(0.003);
    const widths = model.midline.rightX.map((right, k) => right - model.midline.leftX[k]);
    expect(Math.abs(Math.max(...widths) / 50 - 1)).toBeLessThan(0.003);
  });

  it('counts that nothing told how high the camera stood, from which parallax is taken out, seed 12', () => {
    // As from a long lens, which neither EXIF nor the tilt tells of: a usual one is assumed.
    const outline = outlineOf('lanceolate', 90, 40);
    const { pixels } = makePhoto({
      camera: { width: 900, height: 1230, focal: 4000, distance: 1000, roll: 3 },
      light: { backdrop: 'white', falloff: 0.2, from: 80 },
      mat: 'A4',
      pieces: [{ outline, place: { x: 5, y: -10, angle: 37 }, height: 9, stone: 'flint' }],
      seed: 12,
    });
    const photo = asPhoto(pixels, 2);
    const settings = { ...DEFAULT_PHOTO_SETTINGS, printedBar: 100, thickness: 18 };
    const scale = findScale(photo, settings, cv);
    expect(scale.camera?.focalSource).toBe('assumed');
    expect(Math.abs(scale.camera!.height / 1000 - 1)).toBeGreaterThan(0.2);
    const { model } = tracePhoto(candidatesOf(photo, scale, cv), scale, settings, DEFAULT_TRACE_SETTINGS);
    const off = Math.abs(model.length / 90 - 1);
    expect(off).toBeGreaterThan(0.003);
    expect(off).toBeLessThan(2 * model.scaleUncertainty);
    // By hand: 9 mm of a height that is known to 35 % only, and a margin known to a fifth of those 9 mm.
    const { height, relative } = scale.camera!;
    const parts = [(9 * relative) / (height - 9), 1.8 / (height - 9), scale.relative];
    expect(model.scaleUncertainty).toBeCloseTo(Math.hypot(...parts), 10);
  });

  it('offers several pieces, and says which was measured; seed 10', () => {
    const leaf = outlineOf('lanceolate', 30, 14);
    const { pixels } = take('flint', 'white', 0, 10, {
      bars: [],
      labels: [],
      pieces: [
        { outline: NOTCHED, place: { x: 16, y: 0, angle: 10 }, height: 0, stone: 'flint' },
        { outline: leaf, place: { x: -20, y: 3, angle: 80 }, height: 0, stone: 'jasper' },
      ],
    });
    const photo = asPhoto(pixels);
    const settings = { ...DEFAULT_PHOTO_SETTINGS, method: 'typed', pxPerMm: 10 } as const;
    const scale = findScale(photo, settings, cv);
    const candidates = candidatesOf(photo, scale, cv);
    const first = tracePhoto(candidates, scale, settings, DEFAULT_TRACE_SETTINGS);
    const second = tracePhoto(candidates, scale, { ...settings, piece: 2 }, DEFAULT_TRACE_SETTINGS);
    expect(first.model.length).toBeCloseTo(40, 0);
    expect(second.model.length).toBeCloseTo(30, 0);
    expect(first.model.warnings.map(({ code }) => code)).toContain('several-pieces');
    expect(() => tracePhoto(candidates, scale, { ...settings, piece: 9 }, DEFAULT_TRACE_SETTINGS)).toThrow(
      /there is no number 9/,
    );
    // The smaller one is not measured in the stead of a greater one that is not clear.
    const unclear = candidates.map((one, k) => (k === 0 ? { ...one, found: 0.5 } : one));
    expect(() => tracePhoto(unclear, scale, settings, DEFAULT_TRACE_SETTINGS)).toThrow(/No piece was found/);
    const dim = candidates.map((one, k) => (k === 1 ? { ...one, found: 0.5 } : one));
    expect(tracePhoto(dim, scale, settings, DEFAULT_TRACE_SETTINGS).model.length).toBeCloseTo(40, 0);
    // Where the greater one runs out of the picture the smaller one is measured, and that is told.
    const [greater, smaller] = candidates;
    const cut = tracePhoto([smaller, { ...greater, kind: 'cut' }], scale, settings, DEFAULT_TRACE_SETTINGS);
    expect(cut.model.warnings.map(({ code }) => code)).toContain('larger-cut');
    const lesser = tracePhoto(
      [greater, { ...smaller, kind: 'cut' }],
      scale,
      settings,
      DEFAULT_TRACE_SETTINGS,
    );
    expect(lesser.model.warnings.map(({ code }) => code)).not.toContain('larger-cut');
  });

  it('refuses a picture of nothing, and one whose piece runs out of it; seed 11', () => {
    const settings = { ...DEFAULT_PHOTO_SETTINGS, method: 'typed', pxPerMm: 10 } as const;
    const trace = (made: MadePhoto): unknown => {
      const photo = asPhoto(made.pixels);
      const scale = findScale(photo, settings, cv);
      return tracePhoto(candidatesOf(photo, scale, cv), scale, settings, DEFAULT_TRACE_SETTINGS);
    };
    const bare = take('flint', 'felt', 0, 11, { pieces: [], bars: [], labels: [] });
    expect(() => trace(bare)).toThrow(/No piece was found/);
    const cut = take('flint', 'white', 0, 11, {
      bars: [],
      labels: [],
      pieces: [{ outline: NOTCHED, place: { x: 40, y: 0 }, height: 0, stone: 'flint' }],
    });
    expect(() => trace(cut)).toThrow(/runs out of it/);
  });
});
