import { describe, expect, test } from 'vitest';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { measureScan } from '../../src/record/measureScan.ts';
import { readRecord } from '../../src/record/read.ts';
import type { SpecimenRecord } from '../../src/record/schema.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { writeRecord } from '../../src/record/write.ts';
import { findUnsound } from '../fuzz/subject.ts';
import { ellipsoid as gridEllipsoid, moved, together, turned, without } from '../intake/support/shapes.ts';
import { writePlyBinary } from '../intake/support/writePly.ts';
import { makePiece } from '../pieces/piece.ts';
import { ellipsoid, lensDisc, tablet } from '../pieces/solids.ts';

const piece = makePiece({
  outline: { shape: 'lanceolate', length: 90, width: 42, waviness: 0.5, bow: 1.5 },
  seed: 11,
  triangles: 12_000,
  pose: 'design',
  faceA: { height: 7, angle: 28 },
  faceB: { height: 4.5, angle: 20 },
  noise: { sigma: 0.01, direction: 'normal' },
}).mesh;

/** Centre of a triangle along one axis. */
const centre = ({ positions, triangles }: TriangleMesh, t: number, axis: number): number =>
  [0, 1, 2].reduce((sum, k) => sum + positions[3 * triangles[3 * t + k] + axis] / 3, 0);

/** A sheet of size × size mm, n × n squares, at heights z. */
function sheet(size: number, n: number, z: (x: number, y: number) => number): TriangleMesh {
  const positions: number[] = [];
  const triangles: number[] = [];
  for (let j = 0; j <= n; j++) {
    for (let i = 0; i <= n; i++) {
      const [x, y] = [size * (i / n - 0.5), size * (j / n - 0.5)];
      positions.push(x, y, z(x, y));
      const a = j * (n + 1) + i;
      if (i < n && j < n) triangles.push(a, a + 1, a + n + 2, a, a + n + 2, a + n + 1);
    }
  }
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
}

/** The piece with a ball of clay, 60 mm thick, round its base. */
function inClay(): TriangleMesh {
  const positions = piece.positions.slice();
  for (let i = 0; i < positions.length; i += 3)
    positions[i + 2] *= 1 + 5 * Math.sqrt(Math.max(0, 1 - positions[i + 1] / 18));
  return { positions, triangles: piece.triangles };
}

async function measured(mesh: TriangleMesh): Promise<{ record: SpecimenRecord; seconds: number }> {
  const settings = { ...DEFAULT_SETTINGS, scan: { ...DEFAULT_SETTINGS.scan, unit: 'mm' as const } };
  const start = process.cpuUsage();
  const { record } = await measureScan(writePlyBinary(mesh), 'hurts.ply', settings);
  const { user } = process.cpuUsage(start);
  expect(findUnsound(record)).toBeUndefined();
  expect(readRecord(writeRecord(record)).id).toBe(record.id);
  return { record, seconds: user / 1e6 };
}

const codes = ({ warnings }: SpecimenRecord): string[] => warnings.map(({ code }) => code);
const value = ({ measurements }: SpecimenRecord, id: string): number =>
  Number(measurements.find((one) => one.id === id)?.value);

/** Within a thousandth of the whole piece. */
function expectSame(record: SpecimenRecord, size = 1): void {
  for (const id of ['length', 'width', 'thickness'])
    expect(value(record, id) / (size * value(plain, id)), id).toBeCloseTo(1, 2.7);
  expect(value(record, 'volume') / (size ** 3 * value(plain, 'volume')), 'volume').toBeCloseTo(1, 2.7);
}

const { record: plain } = await measured(piece);

describe('what spoils the file but not the piece leaves the numbers as they are', () => {
  test('nothing: no warning is raised for a sound piece', () => expect(codes(plain)).toEqual([]));

  test.each<[string, TriangleMesh, string[]]>([
    ['inside out', turned(piece, () => true), []],
    ['every other triangle inside out', turned(piece, (t) => t % 2 === 0), []],
    ['saved twice over', together(piece, piece), []],
    [
      'with a shell within it',
      together(
        piece,
        turned(moved(piece, 0.9, [0, 4, 0]), () => true),
      ),
      ['several-pieces'],
    ],
    ['crossed by another, smaller one', together(piece, moved(piece, 0.5, [8, 20, 2])), ['several-pieces']],
    ['with a fin on an edge of the mesh', finned(), ['non-manifold']],
  ])('%s', async (_, mesh, warnings) => {
    const { record } = await measured(mesh);
    expectSame(record);
    for (const code of warnings) expect(codes(record)).toContain(code);
  });

  test('a million millimetres from the origin: told what single precision takes away, and not more than that', async () => {
    const { record } = await measured(moved(piece, 1, [1e6, -1e6, 1e6]));
    expect(codes(record)).toEqual(['coarse-coordinates']);
    // Steps of 1/16 mm.
    for (const id of ['length', 'width', 'thickness'])
      expect(Math.abs(value(record, id) - value(plain, id)), id).toBeLessThan(0.0625);
    expect(value(record, 'volume') / value(plain, 'volume')).toBeCloseTo(1, 3);
  });

  test('a micrometre and a kilometre long: said to be no biface, and never for long', async () => {
    for (const size of [1e-3 / 90, 1e6 / 90]) {
      const { record, seconds } = await measured(moved(piece, size));
      expectSame(record, size);
      expect(codes(record)).toContain('size-implausible');
      expect(seconds).toBeLessThan(20);
    }
  });

  /** A triangle that stands on an edge which two others share already. */
  function finned(): TriangleMesh {
    const { positions, triangles } = piece;
    const [a, b] = triangles;
    const [at, to] = [3 * a, positions.length / 3];
    const tip = [positions[at] + 0.2, positions[at + 1], positions[at + 2] + 0.5];
    return {
      positions: Float64Array.from([...positions, ...tip]),
      triangles: Uint32Array.from([...triangles, a, b, to]),
    };
  }
});

describe('what is no biface, or not all of one, is said', () => {
  test.each<[string, TriangleMesh, string[]]>([
    ['a sphere', ellipsoid({ a: 30, b: 30, c: 30, triangles: 6000 }), ['axis-undefined', 'no-margin-found']],
    ['a cube', tablet({ length: 40, width: 40, thickness: 40, triangles: 4000 }), ['no-margin-found']],
    ['a pebble', ellipsoid({ a: 24, b: 40, c: 14, triangles: 6000 }), ['no-margin-found', 'ends-alike']],
    [
      'a round plan',
      lensDisc({ diameter: 60, sagitta: 6, triangles: 6000 }),
      ['axis-undefined', 'ends-alike'],
    ],
    [
      'a single plane',
      sheet(60, 40, () => 0),
      ['open-surface', 'flat-surface', 'margin-open', 'faces-incomplete'],
    ],
    [
      'a piece that lies on a turntable, scanned from above',
      sheet(150, 40, (x, y) => 8 * Math.sqrt(Math.max(0, 1 - (x / 21) ** 2 - (y / 45) ** 2))),
      ['flat-surface', 'faces-incomplete'],
    ],
    [
      'a piece beside the plate that it was scanned with',
      together(
        piece,
        moved(tablet({ length: 150, width: 150, thickness: 4, triangles: 3000 }), 1, [0, -30, -9]),
      ),
      ['several-pieces', 'flat-surface'],
    ],
    ['a piece in a ball of clay', inClay(), ['lump-at-end']],
    ['one face', without(piece, (t) => centre(piece, t, 2) < 0), ['open-surface', 'faces-incomplete']],
    [
      'half of one face',
      without(piece, (t) => centre(piece, t, 2) < 0 || centre(piece, t, 1) < 45),
      ['open-surface', 'faces-incomplete', 'margin-open'],
    ],
    [
      'a scan open on one side',
      without(piece, (t) => centre(piece, t, 0) > 12),
      ['open-surface', 'margin-open'],
    ],
    [
      'a scan without its base',
      without(piece, (t) => centre(piece, t, 1) < 20),
      ['open-surface', 'margin-open'],
    ],
  ])('%s', async (_, mesh, expected) => {
    const { record } = await measured(mesh);
    for (const code of expected) expect(codes(record)).toContain(code);
    for (const { text } of record.warnings) expect(text).toMatch(/^[A-Z0-9].*\.$/);
  });

  test('slivers, a thousand times longer than wide', async () => {
    const { record } = await measured(gridEllipsoid(8, 1000, [20, 45, 6]));
    expect(value(record, 'length')).toBeGreaterThan(88);
    expect(value(record, 'width')).toBeCloseTo(40, 0);
  });
});
