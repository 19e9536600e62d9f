import { describe, expect, it } from 'vitest';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import type { Points2 } from '../../src/geometry/types.ts';
import { refineBoundary } from '../../src/trace/photoBoundary.ts';
import { colourEdges } from '../../src/trace/photoEdge.ts';
import { makePhoto } from '../pieces/photo.ts';
import type { Backdrop } from '../pieces/photoLight.ts';
import type { Stone } from '../pieces/photoScene.ts';
import { ringRms } from '../pieces/ringTruth.ts';

/** A leaf 24 × 14 mm with one notch a millimetre deep on its right side. */
const LEAF = Float64Array.from({ length: 1440 }, (_, i) => {
  const t = (2 * Math.PI * (i >> 1)) / 720;
  const notch = 1 - (1 / 7) * Math.exp(-((Math.min(t, 2 * Math.PI - t) / 0.1) ** 2));
  return i % 2 === 0 ? 7 * notch * Math.cos(t) : 12 * Math.sin(t);
});

/** 10 px/mm. The rings of the truth are exact by the picture maker's construction. */
const made = (stone: Stone, backdrop: Backdrop) =>
  makePhoto({
    camera: { width: 300, height: 300, focal: 3000, distance: 300 },
    light: { backdrop },
    pieces: [{ outline: LEAF, place: { x: 0, y: 0, angle: 25 }, height: 0, stone }],
    seed: 5,
  });

/** As a mask on pixels four times as large would have it. */
const blocky = (ring: Points2): Points2 => ring.map((v) => 4 * Math.round(v / 4));

describe('a boundary drawn from a coarse ring', () => {
  it.each([
    ['flint', 'white'],
    ['pale', 'black'],
    ['obsidian', 'grey'],
    ['pale', 'blue'],
  ] as const)('is within a twentieth of a pixel of the truth: %s on %s', (stone, backdrop) => {
    const { pixels, seen } = made(stone, backdrop);
    const coarse = blocky(seen[0]);
    const fine = refineBoundary(colourEdges(pixels), coarse, { error: 4 });
    expect(ringRms(coarse, seen[0])).toBeGreaterThan(1);
    expect(ringRms(fine.ring, seen[0])).toBeLessThan(0.05);
    // And the other way: the truth's notch lies on the ring too.
    expect(ringRms(seen[0], fine.ring)).toBeLessThan(0.05);
    const [area, truth] = [fine.ring, seen[0]].map((ring) => Math.abs(polygonMoments([ring]).area));
    expect(Math.abs(area / truth - 1)).toBeLessThan(0.003);
    expect(fine.found).toBeGreaterThan(0.95);
  });

  it('reads past the grain of wood, and tells how far the readings stray', () => {
    const { pixels, seen } = made('jasper', 'wood');
    const fine = refineBoundary(colourEdges(pixels), blocky(seen[0]), { error: 4 });
    expect(ringRms(fine.ring, seen[0])).toBeLessThan(0.12);
    expect(fine.stray).toBeGreaterThan(ringRms(fine.ring, seen[0]) / 2);
    expect(fine.stray).toBeLessThan(0.3);
  });

  it('says that no edge was found where there is none, and stays by the coarse ring', () => {
    const pixels = { width: 60, height: 60, rgba: new Uint8ClampedArray(4 * 3600).fill(128) };
    const square = Float64Array.of(15, 15, 45, 15, 45, 45, 15, 45);
    const fine = refineBoundary(colourEdges(pixels), square, { error: 4 });
    expect(fine.found).toBe(0);
    expect(fine.noise).toBeNaN();
    expect(ringRms(fine.ring, square)).toBeLessThan(1);
  });
});
