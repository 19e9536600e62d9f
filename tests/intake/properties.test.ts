import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import type { Scan } from '../../src/intake/types.ts';
import { readSound } from './support/read.ts';
import { ellipsoid, facesOf, meshOf, surfaceKey, turned } from './support/shapes.ts';
import { writeGlb, writeGltf } from './support/writeGltf.ts';
import { writeObj } from './support/writeObj.ts';
import { writePly, writePlyBinary } from './support/writePly.ts';
import { writeStlAscii, writeStlBinary } from './support/writeStl.ts';

const SEED = 42;

/** A closed lens of single-precision numbers, its vertices moved a little at random. */
const lenses = fc
  .record({
    rings: fc.integer({ min: 3, max: 9 }),
    segments: fc.integer({ min: 4, max: 11 }),
    noise: fc.array(fc.double({ min: -0.4, max: 0.4, noNaN: true }), { minLength: 30, maxLength: 30 }),
  })
  .map(({ rings, segments, noise }): TriangleMesh => {
    const { positions, triangles } = ellipsoid(rings, segments, [30, 55, 12]);
    return { positions: positions.map((value, i) => Math.fround(value + noise[i % 30])), triangles };
  });

const key = (scan: Scan): string => surfaceKey(scan.mesh).join('\n');

test(`every format gives the same surface, seed ${SEED}`, () => {
  fc.assert(
    fc.property(lenses, (mesh) => {
      const faces = facesOf(mesh);
      const files = [
        writePlyBinary(mesh),
        writePly(mesh.positions, faces, { encoding: 'ascii' }),
        writePly(mesh.positions, faces, {
          encoding: 'binary_big_endian',
          countType: 'int',
          indexType: 'ushort',
        }),
        writeStlAscii(mesh),
        writeStlBinary(mesh),
        writeObj(mesh.positions, faces, { negative: true, corner: 'v//n' }),
        writeGlb(mesh, { indexType: 5123, stride: 20 }),
        writeGltf(mesh),
      ];
      const keys = files.map((bytes) => key(readSound(bytes, { unit: 'mm' })));
      expect(new Set([...keys, surfaceKey(mesh).join('\n')]).size).toBe(1);
    }),
    { seed: SEED, numRuns: 25 },
  );
});

test(`the order of vertices, triangles and corners changes nothing, seed ${SEED}`, () => {
  const shuffles = fc.record({
    mesh: lenses,
    weights: fc.array(fc.double({ noNaN: true }), { minLength: 97, maxLength: 97 }),
  });
  fc.assert(
    fc.property(shuffles, ({ mesh, weights }) => {
      const numVertices = mesh.positions.length / 3;
      const shuffled = <T>(items: T[]): T[] =>
        items
          .map((item, k) => ({ item, weight: weights[k % 97] * (1 + k) }))
          .sort((a, b) => a.weight - b.weight)
          .map(({ item }) => item);
      const order = shuffled(Array.from({ length: numVertices }, (_, v) => v));
      const place = new Map(order.map((v, k) => [v, k]));
      const positions = order.flatMap((v) => Array.from(mesh.positions.subarray(3 * v, 3 * v + 3)));
      const faces = shuffled(facesOf(mesh)).map((face, t) => {
        const moved = face.map((v) => place.get(v)!);
        return [...moved.slice(t % 3), ...moved.slice(0, t % 3)];
      });
      const scan = readSound(writeObj(positions, faces), { unit: 'mm' });
      expect(key(scan)).toBe(surfaceKey(mesh).join('\n'));
      expect(scan.repair.trianglesFlipped).toBe(0);
    }),
    { seed: SEED, numRuns: 40 },
  );
});

test(`any winding, any duplicates and any loose vertices give the same surface, seed ${SEED}`, () => {
  const spoilt = fc.record({
    mesh: lenses,
    flips: fc.array(fc.boolean(), { minLength: 61, maxLength: 61 }),
    twice: fc.array(fc.nat({ max: 23 }), { maxLength: 6 }),
  });
  fc.assert(
    fc.property(spoilt, ({ mesh, flips, twice }) => {
      const faces = facesOf(turned(mesh, (t) => flips[t % 61]));
      const copies = [...new Set(twice)].map((t) => faces[t]);
      const scan = readSound(writePlyBinary(meshOf([...mesh.positions, 1, 2, 3], [...faces, ...copies])), {
        unit: 'mm',
      });
      expect(key(scan)).toBe(surfaceKey(mesh).join('\n'));
      expect(scan.repair.duplicateDropped).toBe(copies.length);
    }),
    { seed: SEED, numRuns: 40 },
  );
});
