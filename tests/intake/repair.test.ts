import { describe, expect, test } from 'vitest';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { readScan } from '../../src/intake/readScan.ts';
import { DEFAULT_SCAN_SETTINGS } from '../../src/intake/settings.ts';
import { codes, readSound, refusal } from './support/read.ts';
import {
  ellipsoid,
  facesOf,
  meshOf,
  moved,
  pebble,
  surfaceKey,
  together,
  turned,
  volumeOf,
  without,
} from './support/shapes.ts';
import { writePly, writePlyBinary } from './support/writePly.ts';
import { writeStlBinary } from './support/writeStl.ts';

const mesh = pebble();
const numTriangles = mesh.triangles.length / 3;
const volume = volumeOf(mesh);

function read(changed: TriangleMesh, holeLimit = DEFAULT_SCAN_SETTINGS.holeLimit) {
  return readSound(writePlyBinary(changed), { unit: 'mm', holeLimit });
}

describe('winding', () => {
  test('a surface turned inside out is turned back', () => {
    const scan = read(turned(mesh, () => true));
    expect(surfaceKey(scan.mesh)).toEqual(surfaceKey(mesh));
    expect(scan.repair.trianglesFlipped).toBe(numTriangles);
  });
  test('triangles wound at random are all turned outward', () => {
    const which = (t: number): boolean => (t * 2654435761) % 7 < 3;
    const scan = read(turned(mesh, which));
    expect(surfaceKey(scan.mesh)).toEqual(surfaceKey(mesh));
    expect(scan.repair.trianglesFlipped).toBe(
      Array.from({ length: numTriangles }, (_, t) => t).filter(which).length,
    );
  });
  test('an open bowl faces away from its hollow', () => {
    const upper = without(mesh, (t) => mesh.positions[3 * mesh.triangles[3 * t] + 2] < 1);
    for (const inward of [false, true]) {
      const scan = read(turned(upper, () => inward));
      expect(scan.closed).toBe(false);
      expect(surfaceKey(scan.mesh)).toEqual(surfaceKey(upper));
    }
  });
  test('a flat sheet keeps the winding of the file', () => {
    const sheet = meshOf(
      [0, 0, 5, 60, 0, 5, 60, 40, 5, 0, 40, 5],
      [
        [0, 1, 2],
        [0, 2, 3],
      ],
    );
    expect(surfaceKey(read(sheet).mesh)).toEqual(surfaceKey(sheet));
    const below = turned(sheet, () => true);
    expect(surfaceKey(read(below).mesh)).toEqual(surfaceKey(below));
  });
  test('a one-sided strip is cut, and said so', () => {
    const n = 24;
    const positions = Array.from({ length: n }, (_, k) => {
      const turn = (2 * Math.PI * k) / n;
      return [-1, 1].flatMap((side) => {
        const r = 40 + 8 * side * Math.cos(turn / 2);
        return [r * Math.cos(turn), r * Math.sin(turn), 8 * side * Math.sin(turn / 2)];
      });
    }).flat();
    const faces = Array.from({ length: n }, (_, k) => {
      const [a, b] = [2 * k, 2 * k + 1];
      const [c, d] = k + 1 < n ? [a + 2, b + 2] : [1, 0];
      return [
        [a, c, b],
        [b, c, d],
      ];
    }).flat();
    const scan = read(meshOf(positions, faces));
    expect(codes(scan)).toEqual(['one-sided', 'open-surface']);
  });
});

describe('triangles that are none, or twice', () => {
  test('duplicates go, whichever way they are wound', () => {
    const faces = facesOf(mesh);
    const [a, b, c] = faces[100];
    const scan = read(meshOf(mesh.positions, [...faces, [b, c, a], [c, b, a], faces[5]]));
    expect(scan.repair.duplicateDropped).toBe(3);
    expect(surfaceKey(scan.mesh)).toEqual(surfaceKey(mesh));
  });
  test('a surface saved twice, once per side, is one surface', () => {
    const doubled = meshOf(mesh.positions, [...facesOf(mesh), ...facesOf(turned(mesh, () => true))]);
    const scan = read(doubled);
    expect(scan.repair.duplicateDropped).toBe(numTriangles);
    expect(surfaceKey(scan.mesh)).toEqual(surfaceKey(mesh));
    // The same as loose triangles, where only the places tell.
    expect(surfaceKey(readSound(writeStlBinary(doubled), { unit: 'mm' }).mesh)).toEqual(surfaceKey(mesh));
  });
  test('triangles with a corner twice go, by index or by place', () => {
    const faces = facesOf(mesh);
    const positions = [...mesh.positions, ...mesh.positions.subarray(0, 3)];
    const twin = positions.length / 3 - 1;
    const scan = read(meshOf(positions, [...faces, [7, 7, 9], [0, twin, 30], [3, 3, 3]]));
    expect(scan.repair.degenerateDropped).toBe(3);
    expect(scan.repair.verticesWelded).toBe(1);
    expect(surfaceKey(scan.mesh)).toEqual(surfaceKey(mesh));
  });
  test('a triangle with its corners on a line is turned away without opening the surface', () => {
    // A tetrahedron whose base has a fourth vertex in the middle of one side: 0 2 1, with 4 between 0 and 1.
    const positions = [0, 0, 0, 60, 0, 0, 0, 60, 0, 0, 0, 60, 30, 0, 0];
    const faces = [
      [0, 2, 1],
      [0, 1, 4],
      [0, 4, 3],
      [4, 1, 3],
      [1, 2, 3],
      [2, 0, 3],
    ];
    const scan = read(meshOf(positions, faces));
    expect(scan.closed).toBe(true);
    expect(scan.repair.degenerateDropped).toBe(1);
    expect(volumeOf(scan.mesh)).toBeCloseTo(60 ** 3 / 6, 6);
    for (const [a, b, c] of facesOf(scan.mesh)) {
      const p = [a, b, c].map((v) => scan.mesh.positions.subarray(3 * v, 3 * v + 3));
      const u = [0, 1, 2].map((k) => p[1][k] - p[0][k]);
      const v = [0, 1, 2].map((k) => p[2][k] - p[0][k]);
      expect(
        Math.hypot(u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]),
      ).toBeGreaterThan(1);
    }
  });
});

describe('pieces', () => {
  test('two in one file: the larger stays, the share of the other is named', () => {
    const second = moved(mesh, 0.5, [200, 0, 0]);
    const scan = read(together(second, mesh));
    expect(surfaceKey(scan.mesh)).toEqual(surfaceKey(mesh));
    expect(scan.repair.componentsFound).toBe(2);
    expect(scan.repair.componentTrianglesDropped).toBe(numTriangles);
    const warning = scan.warnings.find(({ code }) => code === 'several-pieces');
    // Half the size: a quarter of the area, a fifth of the sum.
    expect(warning?.text).toContain('20.0 %');
    expect(warning?.text).toContain('2 separate pieces');
  });
  test('by area, not by number of triangles', () => {
    const scan = read(together(ellipsoid(40, 60, [3, 3, 3]), moved(mesh, 1, [200, 0, 0])));
    expect(scan.repair.trianglesRead - scan.repair.componentTrianglesDropped).toBe(numTriangles);
  });
  test('a shell inside another, facing either way, is dropped', () => {
    for (const inward of [false, true]) {
      const scan = read(
        together(
          mesh,
          turned(moved(mesh, 0.7), () => inward),
        ),
      );
      expect(surfaceKey(scan.mesh)).toEqual(surfaceKey(mesh));
      expect(volumeOf(scan.mesh)).toBeCloseTo(volume, 1);
    }
  });
  test('vertices that nothing uses go', () => {
    const scan = read({
      positions: Float64Array.of(...mesh.positions, 1e5, 1e5, 1e5),
      triangles: mesh.triangles,
    });
    expect(scan.mesh.positions.length).toBe(mesh.positions.length);
  });
});

describe('edges with more than two triangles', () => {
  test('a membrane inside falls off, the surface stays closed', () => {
    // The equator's ring of vertices, joined across the inside by a fan.
    const ring = Array.from({ length: 24 }, (_, s) => 1 + 7 * 24 + s);
    const centre = mesh.positions.length / 3;
    const membrane = ring.map((v, s) => [v, ring[(s + 1) % 24], centre]);
    const scan = read(meshOf([...mesh.positions, 0, 0, 0], [...membrane, ...facesOf(mesh)]));
    expect(scan.repair.nonManifoldEdges).toBe(24);
    expect(codes(scan)).toContain('non-manifold');
    expect(scan.closed).toBe(true);
    expect(surfaceKey(scan.mesh)).toEqual(surfaceKey(mesh));
  });
  test('a fin outside falls off', () => {
    const tip = mesh.positions.length / 3;
    const [a, b] = facesOf(mesh)[300];
    const scan = read(meshOf([...mesh.positions, 90, 10, 3], [[a, b, tip], ...facesOf(mesh)]));
    expect(scan.repair.nonManifoldEdges).toBe(1);
    expect(surfaceKey(scan.mesh)).toEqual(surfaceKey(mesh));
  });
  test('two solids that share an edge read as sound surfaces', () => {
    const positions = [0, 0, 0, 0, 0, 60, 40, 0, 0, 0, 40, 0, -40, 0, 0, 0, -40, 0];
    const wedge = (a: number, b: number): number[][] => [
      [0, 1, a],
      [1, 0, b],
      [0, a, b],
      [1, b, a],
    ];
    const scan = read(meshOf(positions, [...wedge(2, 3), ...wedge(4, 5)]));
    expect(scan.repair.nonManifoldEdges).toBe(1);
    expect(scan.closed).toBe(true);
  });
  test('a bundle of thousands of triangles on one edge does not take for ever', () => {
    const positions = [0, 0, 0, 0, 0, 60];
    const faces: number[][] = [];
    for (let k = 0; k < 3000; k++) {
      positions.push(40 * Math.cos(k), 40 * Math.sin(k), 30);
      faces.push(k % 2 ? [0, 1, k + 2] : [1, 0, k + 2]);
    }
    const start = performance.now();
    expect(refusal(writePlyBinary(meshOf(positions, faces))).code).toBe('loose-triangles');
    expect(performance.now() - start).toBeLessThan(5000);
  });
  test('a vertex in a hundred thousand triangles, in no order, does not take for ever', () => {
    const n = 100_000;
    const positions = new Float64Array(3 * (n + 2));
    positions.set([0, 0, 20, 0, 0, -20]);
    const triangles = new Uint32Array(6 * n);
    for (let k = 0; k < n; k++) {
      const turn = (2 * Math.PI * k) / n;
      positions.set([60 * Math.cos(turn), 30 * Math.sin(turn), 0], 3 * k + 6);
      // 77 773 has no factor in common with n: every place is met once.
      const at = (k * 77_773) % n;
      triangles.set([0, k + 2, ((k + 1) % n) + 2, 1, ((k + 1) % n) + 2, k + 2], 6 * at);
    }
    const start = performance.now();
    expect(read({ positions, triangles }).closed).toBe(true);
    expect(performance.now() - start).toBeLessThan(10_000);
  });
});

describe('holes', () => {
  const nearVertex = (v: number) => (t: number) => mesh.triangles.subarray(3 * t, 3 * t + 3).includes(v);
  const pole = without(mesh, nearVertex(0));

  test('a small one is closed and said so', () => {
    const scan = read(pole, 0.5);
    expect(scan.closed).toBe(true);
    expect(scan.repair).toMatchObject({ holesFound: 1, holesClosed: 1, holesLeft: 0, largestHoleLeft: 0 });
    expect(codes(scan)).toEqual(['holes-closed']);
    expect(volumeOf(scan.mesh) / volume).toBeGreaterThan(0.99);
    expect(volumeOf(scan.mesh)).toBeLessThan(volume);
  });
  test('a large one is left, with the length of its rim', () => {
    const scan = read(pole, 0.1);
    expect(scan.closed).toBe(false);
    expect(codes(scan)).toEqual(['open-surface']);
    let rim = 0;
    for (let s = 0; s < 24; s++) {
      const [a, b] = [3 * (1 + s), 3 * (1 + ((s + 1) % 24))];
      rim += Math.hypot(...[0, 1, 2].map((k) => mesh.positions[b + k] - mesh.positions[a + k]));
    }
    expect(scan.repair.largestHoleLeft).toBeCloseTo(rim, 4);
    // In metres the same hole is a thousand times as long in millimetres.
    const metres = readSound(writePlyBinary(moved(pole, 0.001)), { unit: 'm' });
    expect(metres.repair.largestHoleLeft).toBeCloseTo(rim, 2);
  });
  test('the limit is a share of the diagonal of the box', () => {
    const size = Math.hypot(56, 120, 22);
    const rim = read(pole, 0).repair.largestHoleLeft;
    expect(read(pole, (rim / size) * 1.01).closed).toBe(true);
    expect(read(pole, (rim / size) * 0.99).closed).toBe(false);
  });
  test('one round a sharp corner, seen edge on from its own plane, is closed all the same', () => {
    for (let v = 1; v < mesh.positions.length / 3 - 1; v += 37) {
      const scan = read(without(mesh, nearVertex(v)), 0.6);
      expect(scan.closed).toBe(true);
      expect(Math.abs(volumeOf(scan.mesh) / volume - 1)).toBeLessThan(0.01);
    }
  });
  test('many, of all sizes, some touching at a vertex', () => {
    const scan = read(
      without(mesh, (t) => (t * 7919) % 97 < 18),
      1,
    );
    expect(scan.closed).toBe(true);
    expect(scan.repair.holesClosed).toBeGreaterThan(50);
    expect(Math.abs(volumeOf(scan.mesh) / volume - 1)).toBeLessThan(0.02);
  });
  test('two that touch at a vertex are told apart', () => {
    const [first, second] = [3 + 24 * 5, 3 + 24 * 5 + 2];
    const ringOf = (v: number) => facesOf(mesh).flatMap((face, t) => (face.includes(v) ? [t] : []));
    const gone = new Set([...ringOf(1 + first), ...ringOf(1 + second)]);
    const scan = read(
      without(mesh, (t) => gone.has(t)),
      0,
    );
    expect(scan.repair.holesFound).toBe(2);
  });
});

describe('cracks', () => {
  test('sides that single precision has torn apart are joined again', () => {
    // Every triangle computed on its own, far from the origin: corners differ in their last bits.
    const far = moved(mesh, 1, [900, -700, 500]);
    const loose = Float64Array.from({ length: 3 * far.triangles.length }, (_, i) => {
      const value = far.positions[3 * far.triangles[Math.floor(i / 3)] + (i % 3)];
      return value * (1 + (((i * 40_503) % 7) - 3) * 2e-8);
    });
    const triangles = Uint32Array.from({ length: far.triangles.length }, (_, h) => h);
    const scan = readSound(
      writePly(loose, facesOf({ positions: loose, triangles }), {
        encoding: 'binary_little_endian',
        coordinate: 'double',
      }),
      { unit: 'mm' },
    );
    expect(scan.closed).toBe(true);
    expect(scan.mesh.triangles.length).toBe(mesh.triangles.length);
    expect(scan.repair.holesFound).toBe(0);
    expect(volumeOf(moved(scan.mesh, 1, [-900, 700, -500])) / volume).toBeCloseTo(1, 5);
  });
  test('a gap that can be seen is no crack', () => {
    const apart = together(
      without(mesh, (t) => t % 2 === 0),
      moved(
        without(mesh, (t) => t % 2 === 1),
        1,
        [0.01, 0, 0],
      ),
    );
    expect(read(apart, 0).closed).toBe(false);
  });
  test('vertices a hair apart on a whole surface are left alone', () => {
    const tiny = moved(ellipsoid(6, 8, [1, 1, 1]), 1e-6);
    const scan = read(together(mesh, moved(tiny, 1, [200, 0, 0])));
    expect(scan.repair.componentsFound).toBe(2);
    expect(scan.repair.degenerateDropped).toBe(0);
  });
});

describe('as data and as a step of the work', () => {
  test('scale changes nothing but lengths, from 10⁻⁹ to 10⁹', () => {
    const holed = without(mesh, (t) => t < 24 || (t > 200 && t < 203));
    const faces = facesOf(holed);
    const reports = [-9, -4, 0, 4, 9].map((power) => {
      const scaled = moved(holed, 10 ** power, [3 * 10 ** power, 0, 0]);
      const scan = readSound(
        writePly(scaled.positions, faces, { encoding: 'binary_big_endian', coordinate: 'double' }),
        {
          unit: 'mm',
          holeLimit: 0.2,
        },
      );
      const { largestHoleLeft, ...counts } = scan.repair;
      return {
        counts,
        share: largestHoleLeft / 10 ** power,
        volume: volumeOf(scan.mesh) / 10 ** (3 * power),
      };
    });
    for (const report of reports) {
      expect(report.counts).toEqual(reports[0].counts);
      expect(report.share).toBeCloseTo(reports[0].share, 6);
      expect(report.volume / reports[0].volume).toBeCloseTo(1, 6);
    }
  });
  test('progress rises from 0 to 1 and an abort is heard between steps', () => {
    const seen: number[] = [];
    const abort = new AbortController();
    readScan(writePlyBinary(mesh), DEFAULT_SCAN_SETTINGS, { progress: (fraction) => seen.push(fraction) });
    expect(seen[0]).toBe(0);
    expect(seen.at(-1)).toBe(1);
    expect(seen).toEqual(seen.slice().sort((a, b) => a - b));
    const reason = new Error('enough');
    expect(() =>
      readScan(writePlyBinary(mesh), DEFAULT_SCAN_SETTINGS, {
        progress: (fraction) => fraction > 0.4 && abort.abort(reason),
        signal: abort.signal,
      }),
    ).toThrow(reason);
  });
  test('the same bytes give the same scan, also from the middle of a larger buffer', () => {
    const bytes = writePlyBinary(mesh);
    const larger = new Uint8Array(bytes.length + 7);
    larger.set(bytes, 3);
    const [first, second] = [bytes, larger.subarray(3, 3 + bytes.length)].map((source) => readSound(source));
    expect(
      Buffer.compare(Buffer.from(first.mesh.positions.buffer), Buffer.from(second.mesh.positions.buffer)),
    ).toBe(0);
    expect(first.mesh.triangles).toEqual(second.mesh.triangles);
    expect(first.warnings).toEqual(second.warnings);
  });
});
