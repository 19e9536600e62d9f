import bunny from 'bunny';
import { describe, expect, test } from 'vitest';
import { type Edge, rimsByBruteForce } from './support/bruteForce.ts';
import { codes, readSound } from './support/read.ts';
import { facesOf, meshOf, moved, surfaceKey, without } from './support/shapes.ts';
import { writeGlb } from './support/writeGltf.ts';
import { writeObj } from './support/writeObj.ts';
import { writePly, writePlyBinary } from './support/writePly.ts';
import { writeStlAscii, writeStlBinary } from './support/writeStl.ts';

/** A scanned surface from the npm registry (public domain), closed by those who made it; here in single precision. */
const whole = meshOf(bunny.positions.flat().map(Math.fround), bunny.cells);

/** The same without its base, and without some triangles well above it; no two rims touch. */
const open = without(whole, (t) => {
  const height = lowest(bunny.cells[t]);
  return height < 1 || (height > 2 && t % 150 === 7);
});

function lowest(cell: readonly number[]): number {
  return Math.min(...cell.map((v) => bunny.positions[v][1]));
}

test('a real scan that is whole is read without a word', () => {
  const scan = readSound(writePlyBinary(whole), { unit: 'cm' });
  expect(scan.closed).toBe(true);
  expect(codes(scan)).toEqual([]);
  expect(surfaceKey(scan.mesh)).toEqual(surfaceKey(moved(whole, 10)));
});

describe('a real scan with holes', () => {
  const scan = readSound(writePlyBinary(open), { unit: 'cm', holeLimit: 0 });

  const rims = rimsByBruteForce(
    facesOf(open).flatMap(([a, b, c]): Edge[] => [
      [a, b],
      [b, c],
      [c, a],
    ]),
  );
  const lengths = rims.map((rim) =>
    rim.reduce((sum, v, k) => {
      const w = rim[(k + 1) % rim.length];
      const p = open.positions;
      return sum + Math.hypot(...[0, 1, 2].map((axis) => p[3 * w + axis] - p[3 * v + axis]));
    }, 0),
  );

  test('is whole but for the rims that counting edges finds', () => {
    expect(rims.length).toBeGreaterThan(10);
    expect(scan.repair).toMatchObject({
      trianglesRead: open.triangles.length / 3,
      verticesWelded: 0,
      nonManifoldEdges: 0,
      holesFound: rims.length,
      holesLeft: rims.length,
      trianglesFlipped: 0,
    });
    expect(scan.repair.largestHoleLeft).toBeCloseTo(10 * Math.max(...lengths), 3);
    expect(codes(scan)).toEqual(['open-surface']);
  });

  test('has its small holes closed, and the large ones left and named', () => {
    const used = [...new Set(open.triangles)];
    const extent = [0, 1, 2].map((axis) => {
      const values = used.map((v) => open.positions[3 * v + axis]);
      return Math.max(...values) - Math.min(...values);
    });
    const large = lengths.filter((length) => length > 0.2 * Math.hypot(...extent));
    const usual = readSound(writePlyBinary(open), { unit: 'cm', holeLimit: 0.2 });
    expect(large.length).toBeGreaterThan(0);
    expect(usual.repair.holesLeft).toBe(large.length);
    expect(usual.repair.holesClosed).toBe(rims.length - large.length);
    expect(codes(usual)).toEqual(['holes-closed', 'open-surface']);
    // Each small hole lacks one triangle, which comes back as it was.
    const baseless = without(whole, (t) => lowest(bunny.cells[t]) < 1);
    expect(surfaceKey(usual.mesh)).toEqual(surfaceKey(moved(baseless, 10)));
    expect(readSound(writePlyBinary(open), { unit: 'cm', holeLimit: 3 }).closed).toBe(true);
  });

  test('is the same from every format', () => {
    const faces = facesOf(open);
    const key = surfaceKey(scan.mesh).join('\n');
    for (const bytes of [
      writePly(open.positions, faces, { encoding: 'ascii' }),
      writeStlBinary(open),
      writeStlAscii(open),
      writeObj(open.positions, faces),
      writeGlb(open),
    ]) {
      const other = readSound(bytes, { unit: 'cm', holeLimit: 0 });
      expect(surfaceKey(other.mesh).join('\n')).toBe(key);
      expect(other.repair.largestHoleLeft).toBeCloseTo(scan.repair.largestHoleLeft, 6);
    }
  });
});
