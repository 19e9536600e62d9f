import { describe, expect, test } from 'vitest';
import { readerReady, readScan } from '../../src/intake/readScan.ts';
import { DEFAULT_SCAN_SETTINGS } from '../../src/intake/settings.ts';
import { refusal, text } from './support/read.ts';
import { facesOf, pebble } from './support/shapes.ts';
import { makeGltf, packGlb, packGltf, writeGlb } from './support/writeGltf.ts';
import { writeObj } from './support/writeObj.ts';
import { concat, writePly, writePlyBinary } from './support/writePly.ts';
import { writeStlAscii, writeStlBinary } from './support/writeStl.ts';

const mesh = pebble();
const faces = facesOf(mesh);

/** One plain sentence, with a code and the words that tell what is wrong and where. */
function expectRefusal(bytes: Uint8Array, code: string, ...words: readonly (string | RegExp)[]): void {
  const error = refusal(bytes);
  expect(error.message).toMatch(/^[A-Z“][^\n]*\.$/);
  expect(error.message.length).toBeLessThan(300);
  for (const word of words) expect(error.message).toMatch(word);
  expect(error.code).toBe(code);
}

const plyText = (lines: string): Uint8Array => text(`ply\nformat ascii 1.0\n${lines}`);
const VERTICES = 'element vertex 3\nproperty float x\nproperty float y\nproperty float z\n';
const FACES = 'element face 1\nproperty list uchar int vertex_indices\nend_header\n';
const CORNERS = '0 0 0\n50 0 0\n0 50 0\n';

/** Binary PLY of one triangle with parts to spoil. */
function tinyPly(
  counts: { vertices: string; faces: string },
  floats: readonly number[],
  corners: readonly number[],
): Uint8Array {
  const header = text(
    `ply\nformat binary_little_endian 1.0\nelement vertex ${counts.vertices}\nproperty float x\nproperty float y\nproperty float z\n` +
      `element face ${counts.faces}\nproperty list uchar int vertex_indices\nend_header\n`,
  );
  const indices = new Uint8Array(Int32Array.from(corners).buffer);
  return concat(
    header,
    new Uint8Array(Float32Array.from(floats).buffer),
    Uint8Array.of(corners.length),
    indices,
  );
}
const ONE = { vertices: '3', faces: '1' };
const FLOATS = [0, 0, 0, 50, 0, 0, 0, 50, 0];

describe('files that are no scans', () => {
  test.each([
    ['an empty file', new Uint8Array(0), 'empty', 'empty'],
    [
      'a JPEG',
      Uint8Array.of(0xff, 0xd8, 0xff, 0xe0, 0, 16, 0x4a, 0x46, 0x49, 0x46),
      'foreign',
      'JPEG picture',
    ],
    ['a PNG', Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10), 'foreign', 'PNG picture'],
    ['a TIFF', concat(text('II*'), Uint8Array.of(0, 8, 0, 0, 0)), 'foreign', 'TIFF picture'],
    ['a GIF', text('GIF89a'), 'foreign', 'GIF picture'],
    ['a BMP', concat(text('BM'), new Uint8Array(60)), 'foreign', 'BMP picture'],
    ['a WebP', concat(text('RIFF'), Uint8Array.of(1, 2, 3, 4), text('WEBPVP8 ')), 'foreign', 'WebP picture'],
    ['a HEIC', concat(Uint8Array.of(0, 0, 0, 24), text('ftypheic')), 'foreign', 'HEIC picture'],
    ['a PDF', text('%PDF-1.7\n'), 'foreign', 'PDF'],
    ['a ZIP', concat(text('PK'), Uint8Array.of(3, 4)), 'foreign', 'ZIP'],
    ['a gzip', Uint8Array.of(0x1f, 0x8b, 8, 0), 'foreign', 'gzip'],
    ['a web page', text('<!doctype html><html></html>'), 'foreign', 'web page'],
    ['UTF-16 text without its mark', text('p\0l\0y\0\n\0f\0o\0r\0m\0a\0t\0'), 'foreign', 'UTF-16'],
    ['the same the other way round', text('\0s\0o\0l\0i\0d\0 \0p\0i\0e\0c\0e'), 'foreign', 'UTF-16'],
    ['zeros', new Uint8Array(100_000), 'foreign', 'zeros alone'],
    ['white space', text(' \r\n\t'.repeat(500)), 'foreign', 'white space alone'],
    [
      'a companion of macOS',
      concat(Uint8Array.of(0, 5, 22, 7, 0, 2), new Uint8Array(120)),
      'foreign',
      'macOS keeps beside',
    ],
    [
      'a TAR archive',
      concat(text('scan.ply'), new Uint8Array(249), text('ustar'), new Uint8Array(500)),
      'foreign',
      'TAR archive',
    ],
    ['UTF-16 text', Uint8Array.of(0xff, 0xfe, 0x70, 0, 0x6c, 0), 'foreign', 'UTF-16'],
    ['a list of points', text('1.5 2.5 3.5\n4 5 6\n'), 'foreign', 'point cloud'],
    ['prose', text('Dear colleague, here is the scan.\n'), 'foreign', 'text in no format'],
    [
      'noise',
      Uint8Array.from({ length: 4000 }, (_, i) => (i * i * 31 + i * 7) % 251),
      'foreign',
      'no format',
    ],
    ['one byte', Uint8Array.of(7), 'foreign', 'no format'],
  ])('%s', (_, bytes, code, words) => expectRefusal(bytes, code, words));
});

describe('PLY', () => {
  const binary = writePlyBinary(mesh);
  const ascii = writePly(mesh.positions, faces, { encoding: 'ascii' });

  test('cut short in the header', () => {
    expectRefusal(binary.subarray(0, 60), 'truncated', 'end_header');
    expectRefusal(text('ply'), 'truncated', 'end_header');
  });
  test('cut short in the vertices', () =>
    expectRefusal(binary.subarray(0, 1000), 'truncated', /vertex.*only \d+ bytes are left/));
  test('cut short in the faces', () => {
    // Each face takes a byte at least, so a small loss shows only when the last record is reached.
    expectRefusal(binary.subarray(0, binary.length - 1), 'truncated', /ends at byte \d+, within record 719/);
    expectRefusal(ascii.subarray(0, ascii.length - 4000), 'truncated', /[Ll]ine \d+/);
  });
  test('a header that promises 10¹² vertices or faces', () => {
    expectRefusal(
      tinyPly({ vertices: '1000000000000', faces: '1' }, FLOATS, [0, 1, 2]),
      'truncated',
      '1000000000000',
    );
    expectRefusal(
      tinyPly({ vertices: '3', faces: '1000000000000' }, FLOATS, [0, 1, 2]),
      'truncated',
      '1000000000000',
    );
    expectRefusal(
      plyText(VERTICES.replace('3', '1000000000000') + FACES + CORNERS),
      'truncated',
      '1000000000000',
    );
    expectRefusal(
      tinyPly({ vertices: '9'.repeat(400), faces: '1' }, FLOATS, [0, 1, 2]),
      'bad-header',
      'Line 3',
    );
  });
  test('a count too small', () => {
    expectRefusal(
      concat(tinyPly(ONE, FLOATS, [0, 1, 2]), Uint8Array.of(3, 0, 0, 0)),
      'wrong-count',
      'follow from byte',
    );
    expectRefusal(plyText(`${VERTICES}${FACES}${CORNERS}3 0 1 2\n3 0 2 1\n`), 'wrong-count', 'Line 14');
    expectRefusal(tinyPly({ vertices: '2', faces: '1' }, FLOATS, [0, 1, 2]), 'wrong-count');
  });
  test('a vertex count too large in ascii: a face line is taken for a vertex', () => {
    expectRefusal(
      plyText(`${VERTICES.replace('3', '4')}${FACES}${CORNERS}3 0 1 2\n`),
      'wrong-count',
      'Line 13',
      'left over',
    );
  });
  test('NaN and infinite coordinates', () => {
    const spoilt = (value: number) => tinyPly(ONE, FLOATS.with(5, value), [0, 1, 2]);
    expectRefusal(
      spoilt(Number.NaN),
      'bad-coordinate',
      /Coordinate z of vertex 1 \(byte \d+\) is not a number/,
    );
    expectRefusal(spoilt(Number.POSITIVE_INFINITY), 'bad-coordinate', 'infinite');
    expectRefusal(
      plyText(`${VERTICES}${FACES}0 0 0\n50 nan 0\n0 50 0\n3 0 1 2\n`),
      'bad-number',
      'Line 11',
      '“nan”',
    );
    expectRefusal(
      plyText(`${VERTICES}${FACES}0 0 0\n50 -1e999 0\n0 50 0\n3 0 1 2\n`),
      'bad-coordinate',
      'vertex 1',
      'infinite',
    );
    expectRefusal(
      plyText(`${VERTICES}${FACES}0 0 0\n50 1e200 0\n0 50 0\n3 0 1 2\n`),
      'bad-coordinate',
      'beyond any length',
    );
  });
  test('a decimal comma', () => {
    expectRefusal(
      plyText(`${VERTICES}${FACES}0 0 0\n50,5 0 0\n0 50 0\n3 0 1 2\n`),
      'bad-number',
      'Line 11',
      '“50,5”',
    );
  });
  test('indices out of range', () => {
    expectRefusal(
      tinyPly(ONE, FLOATS, [0, 1, 3]),
      'bad-index',
      /Record 0 of “face” \(byte \d+\) names vertex 3/,
    );
    expectRefusal(tinyPly(ONE, FLOATS, [0, 1, -1]), 'bad-index', 'vertex -1');
    expectRefusal(plyText(`${VERTICES}${FACES}${CORNERS}3 0 1 77\n`), 'bad-index', 'Line 13', 'vertex 77');
    expectRefusal(plyText(`${VERTICES}${FACES}${CORNERS}3 0 1 1.5\n`), 'bad-index', 'vertex 1.5');
  });
  test('a list with an absurd or negative count', () => {
    expectRefusal(plyText(`${VERTICES}${FACES}${CORNERS}1000000000000 0 1 2\n`), 'wrong-count', 'Line 13');
    expectRefusal(plyText(`${VERTICES}${FACES}${CORNERS}-3 0 1 2\n`), 'wrong-count', '-3 items');
    const bytes = writePly(FLOATS, [[0, 1, 2]], { encoding: 'binary_little_endian', countType: 'uint' });
    bytes[bytes.length - 13] = 0xff;
    expectRefusal(bytes, 'truncated', 'record 0');
  });
  test('no faces', () => {
    const cloud = plyText(`${VERTICES}end_header\n${CORNERS}`);
    expectRefusal(cloud, 'no-faces', 'point cloud', '3 vertices');
    expectRefusal(plyText(`${VERTICES}${FACES.replace('1', '0')}${CORNERS}`), 'no-faces', 'point cloud');
    expectRefusal(
      plyText(`${VERTICES}${FACES.replace('vertex_indices', 'colours')}${CORNERS}3 0 1 2\n`),
      'no-faces',
      'vertex_index',
    );
  });
  test('no vertices', () => {
    expectRefusal(plyText(`${VERTICES.replace('3', '0')}${FACES}`), 'empty', 'no vertices');
    expectRefusal(plyText(`${FACES}3 0 1 2\n`), 'no-vertices', '“vertex”');
    expectRefusal(plyText(`${VERTICES.replace(' z', ' w')}${FACES}`), 'no-vertices', '“z”');
  });
  test('zero area', () => {
    expectRefusal(tinyPly(ONE, [0, 0, 0, 1, 1, 1, 2, 2, 2], [0, 1, 2]), 'no-area', 'zero area');
    expectRefusal(tinyPly(ONE, FLOATS, [0, 1, 1]), 'no-area');
    expectRefusal(tinyPly(ONE, FLOATS, [0, 1]), 'no-area');
  });
  test('a header out of order', () => {
    expectRefusal(
      text('ply\nformat binary_middle_endian 1.0\nend_header\n'),
      'bad-header',
      'Line 2',
      'binary_middle_endian',
    );
    expectRefusal(text('ply\nformat ascii 2.0\nend_header\n'), 'bad-header', '2.0');
    expectRefusal(text('ply\nelement vertex 3\nend_header\n'), 'bad-header', 'format');
    expectRefusal(plyText('element vertex three\nend_header\n'), 'bad-header', 'three');
    expectRefusal(plyText('element vertex -3\nend_header\n'), 'bad-header', '-3');
    expectRefusal(plyText('property float x\nend_header\n'), 'bad-header', 'before any element');
    expectRefusal(plyText('element vertex 3\nproperty quad x\nend_header\n'), 'bad-header', 'quad');
    expectRefusal(
      plyText('element face 3\nproperty list float int vertex_indices\nend_header\n'),
      'bad-header',
      'fractional',
    );
    expectRefusal(plyText(`${VERTICES}${FACES.replace(' int ', ' float ')}`), 'bad-header', 'fractional');
    expectRefusal(plyText('sculpture 3\nend_header\n'), 'bad-header', '“sculpture”');
  });
});

describe('STL', () => {
  const binary = writeStlBinary(mesh);
  const ascii = new TextDecoder().decode(writeStlAscii(mesh));

  test('binary, cut short', () => {
    expectRefusal(
      binary.subarray(0, binary.length - 100),
      'truncated',
      'promises 720 triangles',
      'hold only 718',
    );
    expectRefusal(writeStlBinary(mesh, 'solid of sorts').subarray(0, 5000), 'truncated', '720');
  });
  test('binary, wrong count', () => {
    const promised = (n: number): Uint8Array => {
      const bytes = binary.slice();
      new DataView(bytes.buffer).setUint32(80, n, true);
      return bytes;
    };
    expectRefusal(promised(719), 'wrong-count', '719', '720');
    expectRefusal(promised(0xffffffff), 'truncated', '4 294 967 295 triangles');
    expectRefusal(new Uint8Array(84), 'empty');
  });
  test('binary, NaN', () => {
    const bytes = binary.slice();
    new DataView(bytes.buffer).setFloat32(84 + 50 * 3 + 12 + 16, Number.NaN, true);
    expectRefusal(bytes, 'bad-coordinate', /y of corner 1 of triangle 3 \(byte 258\)/);
  });
  test('binary, all in one place', () => {
    expectRefusal(
      writeStlBinary({ positions: mesh.positions.map(() => 3), triangles: mesh.triangles }),
      'no-area',
    );
  });
  test('ascii, cut short', () => {
    expectRefusal(
      text(ascii.slice(0, 3000)),
      /truncated|bad-line/.exec(refusal(text(ascii.slice(0, 3000))).code)?.[0] ?? '',
      /[Ll]ine \d+/,
    );
    expectRefusal(text(ascii.slice(0, ascii.indexOf('endsolid'))), 'truncated', 'endsolid');
    expectRefusal(text('solid nothing\nendsolid nothing\n'), 'empty', 'no triangles');
    expectRefusal(text('solid'), 'truncated');
  });
  test('ascii, spoilt words and numbers', () => {
    expectRefusal(text(ascii.replace('outer loop', 'outer ring')), 'bad-line', 'Line 3', '“ring”', '“loop”');
    expectRefusal(text(ascii.replace(/vertex \S+/, 'vertex nan')), 'bad-coordinate', 'Line 4', '“nan”');
    expectRefusal(
      text(ascii.replace(/vertex \S+/, 'vertex 1e400')),
      'bad-coordinate',
      'vertex 0 of facet 0',
      'infinite',
    );
    expectRefusal(text(ascii.replace('endloop', 'vertex 0 0 0')), 'bad-line', 'Line 7', '“endloop”');
  });
});

describe('OBJ', () => {
  const obj = (lines: string): Uint8Array => text(`v 0 0 0\nv 50 0 0\nv 0 50 0\n${lines}\n`);

  test('indices out of range', () => {
    expectRefusal(obj('f 1 2 4'), 'bad-index', 'Line 4', 'vertex 4', 'only 3');
    expectRefusal(obj('f 0 1 2'), 'bad-index', 'Line 4', 'count from 1');
    expectRefusal(obj('f -1 -2 -4'), 'bad-index', 'Line 4', 'vertex -4');
    expectRefusal(obj('f 1 2 x'), 'bad-index', 'Line 4', '“x”');
    expectRefusal(obj('f 1 2 3.5'), 'bad-index', '“3.5”');
    expectRefusal(obj('f 1 2 99999999999999999999'), 'bad-index', 'Line 4');
  });
  test('coordinates', () => {
    expectRefusal(text('v 0 0\nf 1 1 1\n'), 'bad-coordinate', 'Line 1', 'three coordinates');
    expectRefusal(text('v 0 nan 0\nf 1 1 1\n'), 'bad-coordinate', 'Line 1', '“nan”');
    expectRefusal(text('v 0 1e999 0\nf 1 1 1\n'), 'bad-coordinate', 'vertex 1', 'infinite');
  });
  test('no faces', () => {
    expectRefusal(obj('p 1 2 3'), 'no-faces', 'point cloud', '3 vertices');
    expectRefusal(text('# only a comment\n'), 'empty', 'no vertices');
    expectRefusal(text('o stone\n'), 'empty', 'no vertices');
  });
  test('words that are no statements, and curved surfaces', () => {
    expectRefusal(obj('w 1 2 3\nf 1 2 3'), 'bad-line', 'Line 4', '“w”');
    expectRefusal(obj('surf 0 1 0 1 1 2 3\nf 1 2 3'), 'curved', 'Line 4', '“surf”');
  });
  test('cut short within a face', () =>
    expectRefusal(text('v 0 0 0\nv 50 0 0\nv 0 50 0\nf 1 2'), 'truncated', 'line 4'));
  test('zero area', () => expectRefusal(obj('f 1 2 2'), 'no-area'));
});

describe('glTF', () => {
  const glb = writeGlb(mesh);
  const spoilt = (spoil: (document: Record<string, never>) => void): Uint8Array => {
    const { document, buffer } = makeGltf(mesh);
    // Tests reach into plain data by name; `never` lets every path through without a cast at each.
    spoil(document as Record<string, never>);
    return packGlb(document, buffer);
  };
  type Bend = Record<string, unknown>[];

  test('cut short', () => {
    expectRefusal(glb.subarray(0, 15), 'truncated', 'byte 15');
    expectRefusal(glb.subarray(0, 2000), 'truncated', 'promises');
    const shorter = glb.slice(0, 2000);
    new DataView(shorter.buffer).setUint32(8, 2000, true);
    expectRefusal(shorter, 'truncated', 'chunk at byte');
    expectRefusal(text('{"asset":{"version":"2.0"},"meshes":['), 'bad-gltf', 'JSON');
  });
  test('other versions and things that are not glTF', () => {
    const old = glb.slice();
    old[4] = 1;
    expectRefusal(old, 'unsupported', 'version 1');
    expectRefusal(text('{"asset":{"version":"1.0"}}'), 'unsupported', '“1.0”');
    expectRefusal(text('{"type":"FeatureCollection"}'), 'bad-gltf', 'asset');
    expectRefusal(text('{"asset":[]}'), 'bad-gltf', 'asset is a list of 0');
    expectRefusal(text('{}{'), 'bad-gltf', 'JSON');
  });
  test('buffers in other files are refused, never fetched', () => {
    const { document } = makeGltf(mesh);
    for (const uri of ['scan.bin', 'https://example.org/scan.bin', 'file:///etc/hosts', '../../secret', '']) {
      const bytes = text(JSON.stringify({ ...document, buffers: [{ byteLength: 10_000_000, uri }] }));
      const original = globalThis.fetch;
      let fetched = false;
      globalThis.fetch = () => {
        fetched = true;
        return Promise.reject(new Error('no network'));
      };
      try {
        expectRefusal(bytes, 'external-buffer', 'another file');
      } finally {
        globalThis.fetch = original;
      }
      expect(fetched).toBe(false);
    }
  });
  test('data URIs that are none', () => {
    const { document } = makeGltf(mesh);
    const uri = (data: string): Uint8Array =>
      text(JSON.stringify({ ...document, buffers: [{ byteLength: 100, uri: data }] }));
    expectRefusal(uri('data:application/octet-stream;base64,%%%'), 'bad-gltf', 'base64');
    expectRefusal(uri('data:text/plain,hello'), 'bad-gltf', 'base64');
    expectRefusal(uri('data:application/octet-stream;base64,AAAA'), 'truncated', '100 bytes', 'has 3');
  });
  test('extensions that are required but unknown are named', () => {
    for (const name of ['KHR_draco_mesh_compression', 'EXT_something_new']) {
      expectRefusal(
        spoilt((document) => Object.assign(document, { extensionsRequired: [name] })),
        'unsupported',
        name,
      );
    }
  });
  test('compressed views that promise too much', async () => {
    await readerReady;
    const packed = (extra: object) =>
      spoilt((document) => {
        Object.assign((document.bufferViews as Bend)[0], {
          extensions: {
            EXT_meshopt_compression: {
              buffer: 0,
              byteLength: 100,
              byteStride: 12,
              count: 338,
              mode: 'ATTRIBUTES',
              ...extra,
            },
          },
        });
      });
    expectRefusal(packed({}), 'bad-gltf', 'damaged');
    expectRefusal(packed({ count: 1e12 }), 'wrong-count', 'promises 12 000 000 000 000 bytes');
    expectRefusal(packed({ byteLength: 1e9 }), 'truncated', 'EXT_meshopt_compression');
    expectRefusal(packed({ mode: 'MAGIC' }), 'bad-gltf', 'ATTRIBUTES, TRIANGLES, INDICES');
    expectRefusal(packed({ byteStride: 5 }), 'bad-gltf');
  });
  test('nodes in a ring, shared, missing, very deep', () => {
    const nodes = (list: unknown[]) => spoilt((document) => Object.assign(document, { nodes: list }));
    expectRefusal(nodes([{ children: [0], mesh: 0 }]), 'bad-gltf', 'nodes[0] is reached twice');
    expectRefusal(nodes([{ children: [1] }, { children: [2] }, { children: [0] }]), 'bad-gltf', 'tree');
    expectRefusal(nodes([{ children: [1, 1] }, { mesh: 0 }]), 'bad-gltf', 'nodes[1]');
    expectRefusal(nodes([{ children: [7] }]), 'bad-index', 'nodes[0].children[0] is 7');
    expectRefusal(nodes([{ mesh: 3 }]), 'bad-index', 'nodes[0].mesh is 3', 'meshes has 1');
    const deep = Array.from({ length: 20_000 }, (_, k) => ({ children: [k + 1] }));
    expectRefusal(nodes([...deep, {}]), 'no-faces');
    const { document, buffer } = makeGltf(mesh);
    const placed = packGlb({ ...document, nodes: [...deep, { mesh: 0 }] }, buffer);
    expect(readScan(placed, DEFAULT_SCAN_SETTINGS).closed).toBe(true);
  });
  test('JSON nested very deep', () => {
    const nested = `${'['.repeat(200_000)}${']'.repeat(200_000)}`;
    expectRefusal(text(`{"asset":{"version":"2.0"},"nodes":${nested},"scenes":[{"nodes":[0]}]}`), 'bad-gltf');
    expectRefusal(text(`{"asset":${nested.replaceAll('[', '{"a":[').replaceAll(']', ']}')}}`), 'bad-gltf');
  });
  test('transforms that are none', () => {
    const node = (extra: object) =>
      spoilt((document) => Object.assign(document, { nodes: [{ mesh: 0, ...extra }] }));
    expectRefusal(node({ matrix: [1, 2, 3] }), 'bad-gltf', 'matrix', '16');
    expectRefusal(node({ rotation: [0, 0, 0, 0] }), 'bad-gltf', 'rotation');
    expectRefusal(node({ scale: ['1', 1, 1] }), 'bad-gltf', 'scale');
    expectRefusal(node({ scale: [1e300, 1, 1] }), 'bad-coordinate', 'moved by the nodes');
    expectRefusal(node({ scale: [0, 0, 0] }), 'no-area');
  });
  test('accessors that promise more than there is', () => {
    const accessor = (index: number, extra: object) =>
      spoilt((document) => Object.assign((document.accessors as Bend)[index], extra));
    expectRefusal(accessor(0, { count: 1e12 }), 'truncated', 'accessors[0]', '1 000 000 000 000');
    expectRefusal(accessor(1, { count: 3e12 }), 'truncated', 'accessors[1]');
    expectRefusal(accessor(1, { count: 2163 }), 'truncated', 'accessors[1]');
    expectRefusal(accessor(1, { count: 2159 }), 'wrong-count', 'multiple of 3');
    expectRefusal(accessor(1, { count: -3 }), 'bad-gltf', 'count is -3');
    expectRefusal(accessor(0, { count: 3 }), 'bad-index', /Corner \d+ of meshes\[0\].primitives\[0\]/);
    expectRefusal(accessor(0, { type: 'VEC2' }), 'bad-gltf', 'type', 'VEC3');
    expectRefusal(accessor(0, { componentType: 5130 }), 'bad-gltf', 'componentType');
    expectRefusal(accessor(1, { componentType: 5126 }), 'bad-gltf', '5121, 5123, 5125');
    expectRefusal(accessor(0, { byteOffset: 1e9 }), 'truncated');
    expectRefusal(accessor(0, { bufferView: 9 }), 'bad-index', 'bufferViews has 2');
    expectRefusal(accessor(0, { bufferView: undefined }), 'bad-gltf', 'names no data');
    expectRefusal(
      accessor(0, { bufferView: undefined, count: 1e8, sparse: { count: 1, indices: {}, values: {} } }),
      'wrong-count',
      'without data',
    );
  });
  test('sparse indices out of order or range', () => {
    const sparse = (places: readonly number[]) => {
      const { document, buffer } = makeGltf(mesh);
      const data = concat(buffer, new Uint8Array(Uint32Array.from(places).buffer), new Uint8Array(24));
      document.buffers = [{ byteLength: data.length }];
      (document.bufferViews as unknown[]).push({ buffer: 0, byteOffset: buffer.length, byteLength: 32 });
      (document.accessors as Bend)[0].sparse = {
        count: 2,
        indices: { bufferView: 2, componentType: 5125 },
        values: { bufferView: 2, byteOffset: 8 },
      };
      return packGltf(document, data);
    };
    expectRefusal(sparse([5, 4]), 'bad-index', 'entry 1');
    expectRefusal(sparse([5, 4_000_000]), 'bad-index', '4000000');
  });
  test('views and buffers that do not reach', () => {
    expectRefusal(
      spoilt((document) => Object.assign((document.bufferViews as Bend)[1], { byteLength: 1e15 })),
      'truncated',
      'bufferViews[1]',
    );
    expectRefusal(
      spoilt((document) => Object.assign((document.buffers as Bend)[0], { byteLength: 1e15 })),
      'truncated',
      'buffers[0]',
    );
    const { document } = makeGltf(mesh);
    expectRefusal(packGlb(document), 'bad-gltf', 'neither');
  });
  test('nothing but points', () => {
    expectRefusal(
      spoilt((document) => {
        (document.meshes as { primitives: { mode?: number }[] }[])[0].primitives[0].mode = 0;
      }),
      'no-faces',
      'no mesh with triangles',
    );
    expectRefusal(text('{"asset":{"version":"2.0"}}'), 'no-faces');
  });
});

test('OBJ faces that all name one vertex, in large numbers, end quickly', () => {
  const lines = Array.from(
    { length: 20_000 },
    (_, k) => `v ${k % 97} ${k % 89} ${k % 83}\nf 1 ${k + 1} 1`,
  ).join('\n');
  expectRefusal(text(lines), 'no-area');
});

test('writers in this folder make files that are accepted', () => {
  for (const bytes of [
    writePlyBinary(mesh),
    writeStlBinary(mesh),
    writeObj(mesh.positions, faces),
    writeGlb(mesh),
  ]) {
    expect(readScan(bytes, DEFAULT_SCAN_SETTINGS).closed).toBe(true);
  }
});

describe('what would take for ever', () => {
  const inTime = (work: () => void): void => {
    const start = performance.now();
    work();
    expect(performance.now() - start).toBeLessThan(10_000);
  };

  test('a heap of loose triangles is refused', () => {
    const n = 100_000;
    const positions = Float64Array.from({ length: 9 * n }, (_, i) => 100 * Math.sin(i * i * 0.37 + i));
    const triangles = Uint32Array.from({ length: 3 * n }, (_, h) => h);
    inTime(() =>
      expectRefusal(writeStlBinary({ positions, triangles }), 'loose-triangles', '100 000 pieces'),
    );
  });

  test('polygons of thousands of corners are cut or refused', () => {
    const comb = (teeth: number): Uint8Array => {
      const plan = Array.from({ length: teeth }, (_, k) => [`v ${k % 2 ? 1 : 50} ${(100 * k) / teeth} 0`]);
      return text(
        `${plan.join('\n')}\nv -10 100 0\nv -10 0 0\nf ${Array.from({ length: teeth + 2 }, (_, k) => k + 1).join(' ')}\n`,
      );
    };
    inTime(() => expect(readScan(comb(2000), DEFAULT_SCAN_SETTINGS).repair.trianglesRead).toBe(2000));
    inTime(() => expectRefusal(comb(200_000), 'too-large', 'save it as triangles'));
  });

  test('a small glTF that shows one mesh thirty thousand times is refused', () => {
    const { document, buffer } = makeGltf(mesh);
    const nodes = Array.from({ length: 30_000 }, () => ({ mesh: 0 }));
    const bytes = packGlb({ ...document, nodes, scenes: [{ nodes: [...nodes.keys()] }] }, buffer);
    inTime(() => expectRefusal(bytes, 'too-large', 'so often', '21 600 000 triangles'));
  });
});
