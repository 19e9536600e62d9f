import { MeshoptEncoder } from 'meshoptimizer/encoder';
import { describe, expect, test } from 'vitest';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { readerReady } from '../../src/intake/readScan.ts';
import { IntakeError } from '../../src/intake/types.ts';
import { codes, readSound } from './support/read.ts';
import { box, facesOf, meshOf, pebble, surfaceKey, volumeOf } from './support/shapes.ts';
import { makeGltf, packGlb, packGltf, writeGlb, writeGltf } from './support/writeGltf.ts';
import { writeObj } from './support/writeObj.ts';
import { concat, type PlyLayoutSpec, type PlyScalar, writePly, writePlyBinary } from './support/writePly.ts';
import { writeStlAscii, writeStlBinary } from './support/writeStl.ts';

const mesh = pebble();
const key = surfaceKey(mesh);
const faces = facesOf(mesh);

function expectPebble(bytes: Uint8Array, unit: 'mm' | 'm' = 'mm'): void {
  const before = bytes.slice();
  const scan = readSound(bytes, { unit: 'mm' });
  expect(surfaceKey(scan.mesh).join()).toBe(key.join());
  expect(scan.closed).toBe(true);
  expect(Buffer.compare(bytes, before)).toBe(0);
  expect(readSound(bytes).unit.unit).toBe(unit);
}

describe('PLY', () => {
  const layouts: [string, PlyLayoutSpec][] = [
    ['ascii', { encoding: 'ascii' }],
    ['ascii with \\r\\n', { encoding: 'ascii', lineEnd: '\r\n' }],
    ['ascii with \\r', { encoding: 'ascii', lineEnd: '\r' }],
    ['binary little-endian', { encoding: 'binary_little_endian' }],
    ['binary big-endian', { encoding: 'binary_big_endian' }],
    ['binary with \\r\\n in its header', { encoding: 'binary_little_endian', lineEnd: '\r\n' }],
    ['binary with \\r in its header', { encoding: 'binary_big_endian', lineEnd: '\r' }],
  ];
  for (const encoding of ['ascii', 'binary_little_endian', 'binary_big_endian'] as const) {
    layouts.push(
      [`${encoding}, double coordinates`, { encoding, coordinate: 'double' }],
      [
        `${encoding}, normals, colours and quality`,
        { encoding, after: ['float', 'float', 'float', 'uchar', 'uchar', 'uchar', 'uchar', 'double'] },
      ],
      [`${encoding}, properties before x`, { encoding, before: ['uchar', 'short'] }],
      [`${encoding}, vertex_index`, { encoding, listName: 'vertex_index' }],
      [
        `${encoding}, face colours and texture lists`,
        { encoding, faceBefore: ['uchar'], faceAfter: ['list', 'int', 'uchar'] },
      ],
      [
        `${encoding}, numbers after the corners`,
        { encoding, faceAfter: ['uchar', 'uchar', 'uchar', 'uchar'] },
      ],
      [`${encoding}, another element with lists`, { encoding, extraElement: true }],
      [`${encoding}, faces before vertices`, { encoding, facesFirst: true }],
    );
    for (const countType of ['char', 'uchar', 'short', 'ushort', 'int', 'uint'] as PlyScalar[]) {
      for (const indexType of ['short', 'ushort', 'int', 'uint'] as PlyScalar[]) {
        layouts.push([`${encoding}, list ${countType} ${indexType}`, { encoding, countType, indexType }]);
      }
    }
  }
  test.each(layouts)('%s', (_, spec) => {
    expectPebble(writePly(mesh.positions, faces, spec));
  });

  test('whole-number coordinates of every type', () => {
    const { positions, faces: quads } = box([100, 50, 20]);
    for (const coordinate of ['char', 'uchar', 'short', 'ushort', 'int', 'uint'] as PlyScalar[]) {
      for (const encoding of ['ascii', 'binary_little_endian', 'binary_big_endian'] as const) {
        const scan = readSound(writePly(positions, quads, { encoding, coordinate }));
        expect(volumeOf(scan.mesh)).toBeCloseTo(100_000, 6);
      }
    }
  });

  test('strips of triangles, parted by −1', () => {
    const header =
      'ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\nproperty float y\nproperty float z\n' +
      'element tristrips 1\nproperty list int int vertex_indices\nend_header\n0 0 0\n50 0 0\n0 50 0\n0 0 50\n';
    // The faces of a tetrahedron, outward: 0 2 1, 0 1 3, 1 2 3, 2 0 3.
    const scan = readSound(new TextEncoder().encode(`${header}12 0 2 1 3 -1 2 0 3 -1 0 1 3\n`));
    expect(scan.closed).toBe(true);
    expect(scan.repair.trianglesRead).toBe(4);
    expect(scan.repair.trianglesFlipped).toBe(0);
  });
});

describe('STL', () => {
  test('ascii', () => expectPebble(writeStlAscii(mesh)));
  test('ascii in capitals with odd names and line ends', () => {
    const content = new TextDecoder().decode(writeStlAscii(mesh, 'Fundstück 7 facet'));
    expectPebble(
      new TextEncoder().encode(content.replace(/facet|vertex|solid|loop/g, (word) => word.toUpperCase())),
    );
    expectPebble(new TextEncoder().encode(content.replaceAll('\n', '\r\n')));
    expectPebble(new TextEncoder().encode(`\ufeff${content}`));
  });
  test('ascii with NaN in its normals', () => {
    const content = new TextDecoder().decode(writeStlAscii(mesh));
    expectPebble(new TextEncoder().encode(content.replaceAll('normal 0 0 0', 'normal -nan(ind) nan nan')));
  });
  test('two solids in one file make one mesh', () => {
    const half = faces.length / 2;
    const first = writeStlAscii(meshOf(mesh.positions, faces.slice(0, half)), 'a');
    const second = writeStlAscii(meshOf(mesh.positions, faces.slice(half)), 'b');
    expectPebble(concat(first, second));
  });
  test('binary', () => expectPebble(writeStlBinary(mesh)));
  test('binary whose header starts with “solid”', () =>
    expectPebble(writeStlBinary(mesh, 'solid binary all the same')));
  test('binary with a few bytes after the last facet', () => {
    expectPebble(concat(writeStlBinary(mesh), Uint8Array.of(1, 2, 3)));
  });
});

describe('OBJ', () => {
  test.each([
    ['plain', {}],
    ['negative indices', { negative: true }],
    ['texture indices', { corner: 'v/t' }],
    ['normal indices', { corner: 'v//n' }],
    ['both', { corner: 'v/t/n' }],
    ['colours after the coordinates', { colours: true }],
    ['lines continued with a backslash', { continued: true }],
    ['groups and materials', { groups: true }],
    ['\\r\\n', { lineEnd: '\r\n', continued: true }],
  ] as const)('%s', (_, spec) => expectPebble(writeObj(mesh.positions, faces, spec)));

  test('faces that come before their vertices', () => {
    const lines = new TextDecoder().decode(writeObj(mesh.positions, faces)).split('\n');
    const facesFirst = [
      ...lines.filter((line) => line.startsWith('f ')),
      ...lines.filter((line) => !line.startsWith('f ')),
    ];
    expectPebble(new TextEncoder().encode(facesFirst.join('\n')));
  });
});

describe('glTF', () => {
  test.each([
    ['GLB', writeGlb(mesh)],
    ['data URI', writeGltf(mesh)],
    ['16-bit indices', writeGlb(mesh, { indexType: 5123 })],
    ['interleaved', writeGlb(mesh, { stride: 32 })],
    ['no indices', writeGlb(mesh, { withoutIndices: true })],
  ])('%s', (_, bytes) => {
    const scan = readSound(bytes, { unit: 'mm' });
    expect(surfaceKey(scan.mesh)).toEqual(key);
    expect(readSound(bytes).unit).toEqual({ unit: 'm', method: 'standard' });
  });

  test('8-bit indices', () => {
    const { positions, faces: quads } = box([0.1, 0.05, 0.02]);
    const triangles = quads.flatMap(([a, b, c, d]) => [a, b, c, a, c, d]);
    const scan = readSound(writeGlb(meshOf(positions, [triangles]), { indexType: 5121 }));
    expect(volumeOf(scan.mesh) / 100_000).toBeCloseTo(1, 6);
    expect(codes(scan)).toEqual([]);
  });

  test('strips and fans', () => {
    // A tetrahedron: a fan round vertex 3 and one more triangle as a strip.
    const positions = [0, 0, 0, 0.05, 0, 0, 0, 0.05, 0, 0, 0, 0.05];
    const { document, buffer } = makeGltf(meshOf(positions, [[3, 0, 1, 2, 0, 0]]));
    const [view] = document.bufferViews as Record<string, number>[];
    document.accessors = [
      (document.accessors as unknown[])[0],
      { bufferView: 1, byteOffset: 0, componentType: 5125, count: 5, type: 'SCALAR' },
      { bufferView: 1, byteOffset: 4, componentType: 5125, count: 3, type: 'SCALAR' },
    ];
    expect(view.byteOffset).toBe(0);
    document.meshes = [
      {
        primitives: [
          { attributes: { POSITION: 0 }, indices: 1, mode: 6 },
          { attributes: { POSITION: 0 }, indices: 2, mode: 5 },
          { attributes: { POSITION: 0 }, mode: 0 },
        ],
      },
    ];
    const scan = readSound(packGlb(document, buffer));
    expect(scan.closed).toBe(true);
    expect(scan.repair.trianglesRead).toBe(4);
    expect(volumeOf(scan.mesh)).toBeCloseTo(50 ** 3 / 6, 2);
  });

  test('a long strip keeps one winding', () => {
    const strip = [0, 1, 2, 3, 4, 5, 6, 7];
    const positions = strip.flatMap((k) => [0.01 * k, k % 2 ? 0.02 : 0, 0]);
    const { document, buffer } = makeGltf(meshOf(positions, [[...strip, 0]]));
    (document.accessors as { count: number }[])[1].count = 8;
    (document.meshes as { primitives: { mode?: number }[] }[])[0].primitives[0].mode = 5;
    const scan = readSound(packGlb(document, buffer));
    expect(scan.repair.trianglesRead).toBe(6);
    expect(scan.repair.trianglesFlipped === 0 || scan.repair.trianglesFlipped === 6).toBe(true);
  });

  test('nodes place meshes: matrix, translation · rotation · scale, children, mirroring', () => {
    const { document, buffer } = makeGltf(mesh);
    const half = Math.SQRT1_2;
    document.nodes = [
      { children: [1], translation: [5, 6, 7], rotation: [0, 0, half, half], scale: [2, 2, 2] },
      // Column-major: mirrors x, then shifts by 1 along y.
      { mesh: 0, matrix: [-1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 1, 0, 1] },
    ];
    const scan = readSound(packGlb(document, buffer), { unit: 'mm' });
    // By hand: (x, y, z) → (−x, y + 1, z) → doubled, turned by 90° about z, shifted.
    const wanted: TriangleMesh = {
      positions: new Float64Array(mesh.positions.length),
      triangles: mesh.triangles.slice().reverse(),
    };
    for (let i = 0; i < mesh.positions.length; i += 3) {
      const x = -Math.fround(mesh.positions[i]);
      const y = Math.fround(mesh.positions[i + 1]) + 1;
      wanted.positions.set([5 - 2 * y, 6 + 2 * x, 7 + 2 * Math.fround(mesh.positions[i + 2])], i);
    }
    const round = ({ positions, triangles }: TriangleMesh) =>
      surfaceKey({ positions: positions.map((value) => Math.round(value * 1e4) / 1e4), triangles });
    expect(round(scan.mesh)).toEqual(round(wanted));
    expect(scan.repair.trianglesFlipped).toBe(0);
  });

  test('several meshes and primitives that share positions become one surface', () => {
    const half = Math.floor(mesh.triangles.length / 6) * 3;
    const { document, buffer } = makeGltf(mesh);
    const index = { bufferView: 1, componentType: 5125, type: 'SCALAR' };
    document.accessors = [
      (document.accessors as unknown[])[0],
      { ...index, count: half },
      { ...index, byteOffset: 4 * half, count: mesh.triangles.length - half },
    ];
    document.meshes = [
      { primitives: [{ attributes: { POSITION: 0 }, indices: 1 }] },
      { primitives: [{ attributes: { POSITION: 0 }, indices: 2 }] },
    ];
    document.nodes = [{ mesh: 0 }, { mesh: 1 }, { mesh: 1, translation: [1e3, 0, 0] }];
    document.scenes = [{ nodes: [0, 1] }];
    const scan = readSound(packGltf(document, buffer), { unit: 'mm' });
    expect(surfaceKey(scan.mesh)).toEqual(key);
  });

  test('sparse positions replace those of the view, or zeros where there is none', () => {
    const base = {
      positions: mesh.positions.map((value, i) => (i < 30 ? 0 : value)),
      triangles: mesh.triangles,
    };
    const values = new Uint8Array(Float32Array.from(mesh.positions.subarray(0, 30)).buffer);
    const places = new Uint8Array(Uint16Array.from({ length: 10 }, (_, k) => k).buffer);
    const { document, buffer } = makeGltf(base);
    const views = document.bufferViews as unknown[];
    views.push({ buffer: 0, byteOffset: buffer.length, byteLength: values.length });
    views.push({ buffer: 0, byteOffset: buffer.length + values.length, byteLength: places.length });
    const accessors = document.accessors as Record<string, unknown>[];
    accessors[0].sparse = {
      count: 10,
      indices: { bufferView: 3, componentType: 5123 },
      values: { bufferView: 2 },
    };
    const all = concat(buffer, values, places);
    document.buffers = [{ byteLength: all.length }];
    expect(surfaceKey(readSound(packGlb(document, all), { unit: 'mm' }).mesh)).toEqual(key);
    // A fan of the ten sparse vertices over zeros: vertex 10 of the accessor has no data but sits at the origin.
    const { bufferView: _, ...withoutView } = accessors[0];
    document.accessors = [{ ...withoutView, count: 11 }];
    document.meshes = [{ primitives: [{ attributes: { POSITION: 0 }, mode: 6 }] }];
    const fan = readSound(packGlb(document, all), { unit: 'mm' });
    expect(fan.repair.verticesRead).toBe(11);
  });

  test('quantised positions, as fractions of one', () => {
    const { document, buffer } = makeGltf(mesh);
    const quantised = Int16Array.from({ length: (mesh.positions.length / 3) * 4 }, (_, i) =>
      i % 4 === 3 ? 0 : Math.round((mesh.positions[Math.floor(i / 4) * 3 + (i % 4)] / 60) * 32767),
    );
    const extra = new Uint8Array(quantised.buffer);
    const all = concat(buffer, extra);
    document.buffers = [{ byteLength: all.length }];
    (document.bufferViews as unknown[]).push({
      buffer: 0,
      byteOffset: buffer.length,
      byteLength: extra.length,
      byteStride: 8,
    });
    document.extensionsRequired = ['KHR_mesh_quantization'];
    const accessors = document.accessors as Record<string, unknown>[];
    Object.assign(accessors[0], { bufferView: 2, componentType: 5122, normalized: true });
    document.nodes = [{ mesh: 0, scale: [0.06, 0.06, 0.06] }];
    const scan = readSound(packGlb(document, all));
    expect(volumeOf(scan.mesh) / volumeOf(mesh)).toBeCloseTo(1, 3);
  });

  test('meshopt compression', async () => {
    await Promise.all([MeshoptEncoder.ready, readerReady]);
    const { document, buffer } = makeGltf(mesh);
    const views = document.bufferViews as Record<string, unknown>[];
    const packed = [
      { mode: 'ATTRIBUTES', stride: 12, count: mesh.positions.length / 3, view: views[0] },
      { mode: 'TRIANGLES', stride: 4, count: mesh.triangles.length, view: views[1] },
    ].map(({ mode, stride, count, view }) => {
      const start = view.byteOffset as number;
      const bytes = buffer.subarray(start, start + stride * count);
      return { data: MeshoptEncoder.encodeGltfBuffer(bytes, count, stride, mode), mode, stride, count, view };
    });
    let byteOffset = 0;
    for (const { data, mode, stride, count, view } of packed) {
      view.extensions = {
        EXT_meshopt_compression: {
          buffer: 0,
          byteOffset,
          byteLength: data.length,
          byteStride: stride,
          count,
          mode,
        },
      };
      view.buffer = 1;
      byteOffset += data.length;
    }
    const all = concat(...packed.map(({ data }) => data));
    document.buffers = [{ byteLength: all.length }, { byteLength: buffer.length, uri: 'fallback.bin' }];
    document.extensionsRequired = ['EXT_meshopt_compression'];
    const bytes = packGlb(document, all);
    const scan = readSound(bytes, { unit: 'mm' });
    expect(scan.repair.trianglesRead).toBe(faces.length);
    expect(surfaceKey(scan.mesh)).toEqual(key);
    // Damaged within: one sentence, or a surface that still holds together.
    for (let at = bytes.length - all.length; at < bytes.length; at += 97) {
      const damaged = bytes.slice();
      damaged[at] ^= 0xff;
      try {
        readSound(damaged, { unit: 'mm' });
      } catch (error) {
        expect(error).toBeInstanceOf(IntakeError);
      }
    }
  });

  test('a file without scenes shows its meshes', () => {
    const { document, buffer } = makeGltf(mesh);
    const { scene: _, scenes: __, nodes: ___, ...bare } = document;
    expect(surfaceKey(readSound(packGlb(bare, buffer), { unit: 'mm' }).mesh)).toEqual(key);
  });
});

test('every format reads a closed scan without a word but on units', () => {
  for (const bytes of [
    writePlyBinary(mesh),
    writeStlBinary(mesh),
    writeStlAscii(mesh),
    writeObj(mesh.positions, faces),
  ]) {
    const scan = readSound(bytes);
    expect(codes(scan)).toEqual(['units-guessed']);
    const { verticesRead: _, verticesWelded: __, ...counts } = scan.repair;
    expect(counts).toEqual({
      trianglesRead: faces.length,
      degenerateDropped: 0,
      duplicateDropped: 0,
      trianglesFlipped: 0,
      componentsFound: 1,
      componentTrianglesDropped: 0,
      nonManifoldEdges: 0,
      holesFound: 0,
      holesClosed: 0,
      holesLeft: 0,
      largestHoleLeft: 0,
    });
  }
});

test('polygons are cut into triangles inside them, concave ones too', () => {
  // An L-shaped prism: the plan has area 3, the height is 1; scaled to 20 mm.
  const plan = [
    [0, 0],
    [2, 0],
    [2, 1],
    [1, 1],
    [1, 2],
    [0, 2],
  ];
  const positions = [0, 1].flatMap((z) => plan.flatMap(([x, y]) => [20 * x, 20 * y, 20 * z]));
  const polygons = [
    [5, 4, 3, 2, 1, 0],
    [6, 7, 8, 9, 10, 11],
    ...plan.map((_, k) => [k, (k + 1) % 6, ((k + 1) % 6) + 6, k + 6]),
  ];
  for (const bytes of [
    writeObj(positions, polygons),
    writePly(positions, polygons, { encoding: 'ascii' }),
    writePly(positions, polygons, { encoding: 'binary_big_endian' }),
  ]) {
    const scan = readSound(bytes);
    expect(scan.closed).toBe(true);
    expect(scan.repair.trianglesRead).toBe(20);
    expect(volumeOf(scan.mesh)).toBeCloseTo(3 * 8000, 6);
    // Surface: two L of area 3 and a band of girth 8, in units of 20 mm.
    let area = 0;
    const { positions: p, triangles } = scan.mesh;
    for (let t = 0; t < triangles.length; t += 3) {
      const [a, b, c] = [0, 1, 2].map((k) => p.subarray(3 * triangles[t + k], 3 * triangles[t + k] + 3));
      const u = [0, 1, 2].map((k) => b[k] - a[k]);
      const v = [0, 1, 2].map((k) => c[k] - a[k]);
      area += Math.hypot(u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]) / 2;
    }
    expect(area).toBeCloseTo(14 * 400, 6);
  }
});
