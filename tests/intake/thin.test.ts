import { beforeAll, describe, expect, test } from 'vitest';
import { bestThinning, scanNeeds } from '../../src/intake/foretell.ts';
import { readerReady, readScan } from '../../src/intake/readScan.ts';
import { DEFAULT_SCAN_SETTINGS } from '../../src/intake/settings.ts';
import { ellipsoid, facesOf } from './support/shapes.ts';
import { writeGlb } from './support/writeGltf.ts';
import { writeObj } from './support/writeObj.ts';
import { writePlyBinary } from './support/writePly.ts';
import { writeStlBinary } from './support/writeStl.ts';

beforeAll(() => readerReady);

const mesh = ellipsoid(60, 80, [2.8, 6, 1.1]);
const TRIANGLES = mesh.triangles.length / 3;

describe('a scan that is to be thinned', () => {
  const settings = { ...DEFAULT_SCAN_SETTINGS, unit: 'cm' as const, thin: 2000 };

  test('has about as many triangles as were asked for, and says so, in millimetres', () => {
    const whole = readScan(writePlyBinary(mesh), { ...settings, thin: 1e6 });
    expect(whole.thinned).toBeUndefined();
    expect(whole.warnings).toEqual([]);
    const thin = readScan(writePlyBinary(mesh), settings);
    const kept = thin.mesh.triangles.length / 3;
    expect(kept).toBeGreaterThan(1800);
    expect(kept).toBeLessThanOrEqual(2000);
    expect(thin.closed).toBe(true);
    expect(thin.repair).toEqual(whole.repair);
    expect(thin.thinned?.from).toBe(TRIANGLES);
    // An ellipsoid of some 60 mm whose edges are some 2 mm: their sag is some 0.05 mm.
    expect(thin.thinned?.moved).toBeGreaterThan(0.01);
    expect(thin.thinned?.moved).toBeLessThan(0.5);
    expect(thin.warnings.map(({ code }) => code)).toEqual(['thinned']);
    expect(thin.warnings[0].text).toContain(`from ${TRIANGLES} triangles to ${kept} triangles`);
  });

  test('comes out the same from triangles that share no vertices', () => {
    const { repair, thinned } = readScan(writeStlBinary(mesh), settings);
    expect(repair.verticesWelded).toBe(3 * TRIANGLES - mesh.positions.length / 3);
    expect(repair.trianglesRead).toBe(TRIANGLES);
    expect(thinned?.from).toBe(TRIANGLES);
  });
});

describe('what a scan needs of memory is foretold from its first bytes', () => {
  test.each([
    ['PLY', writePlyBinary(mesh), 1],
    ['STL', writeStlBinary(mesh), 1],
    ['OBJ', writeObj(mesh.positions, facesOf(mesh)), 3],
    ['GLB', writeGlb(mesh), 3],
  ])('%s: its triangles, counted or guessed to within a factor', (_, bytes, factor) => {
    const needs = scanNeeds(bytes.subarray(0, 4096), bytes.length);
    expect(needs?.triangles).toBeGreaterThan((0.99 * TRIANGLES) / factor);
    expect(needs?.triangles).toBeLessThan(1.01 * TRIANGLES * factor);
  });

  test('thinning needs less than the whole; the most triangles that fit are offered, none where none fit', () => {
    const needs = scanNeeds(header(20_000_000), 382e6);
    if (needs === undefined) throw new Error('a PLY header is foretold');
    expect(needs.whole).toBeGreaterThan(2.4e9);
    expect(needs.whole).toBeLessThan(3.2e9);
    expect(needs.thinned(1_000_000)).toBeLessThan(0.7 * needs.whole);
    expect(bestThinning(needs, 2e9)).toBe(2_000_000);
    expect(bestThinning(needs, 1.4e9)).toBe(200_000);
    expect(bestThinning(needs, 0.5e9)).toBeUndefined();
  });

  test('a header that lies, and what is no scan', () => {
    expect(scanNeeds(header(1e12), 1000)?.triangles).toBe(250);
    expect(scanNeeds(Uint8Array.of(0x89, 0x50, 0x4e, 0x47), 1e9)).toBeUndefined();
    expect(scanNeeds(new Uint8Array(0), 0)).toBeUndefined();
  });
});

function header(faces: number): Uint8Array {
  return new TextEncoder().encode(
    `ply\nformat binary_little_endian 1.0\nelement vertex ${faces / 2}\nproperty float x\nproperty float y\nproperty float z\nelement face ${faces}\nproperty list uchar int vertex_indices\nend_header\n`,
  );
}
