import { openPlate } from './openPlate.ts';

type Hostile = readonly (readonly [what: string, bytes: Uint8Array])[];

const text = (words: string): Uint8Array => new TextEncoder().encode(words);
const CORNERS = '0 0 0\n60 0 0\n0 30 0\n0 0 9\n';
const FACES = '3 0 2 1\n3 0 1 3\n3 0 3 2\n3 1 2 3\n';

export function hostilePly(): Hostile {
  const header = (elements: string): string => `ply\nformat ascii 1.0\n${elements}end_header\n`;
  const vertices = (count: string): string =>
    `element vertex ${count}\nproperty float x\nproperty float y\nproperty float z\n`;
  const list = 'property list uchar int vertex_indices\n';
  return [
    [
      '9e15 vertices promised',
      text(header(`${vertices('9007199254740991')}element face 4\n${list}`) + CORNERS),
    ],
    [
      '9e15 records of nothing at the end',
      text(header(`${vertices('4')}element face 4\n${list}element air 9007199254740991\n`) + CORNERS + FACES),
    ],
    [
      '9e15 records of nothing',
      text(header(`element air 9007199254740991\n${vertices('4')}element face 4\n${list}`) + CORNERS + FACES),
    ],
    [
      'a list of 1e15 items',
      text(`${header(`${vertices('4')}element face 1\n${list}`) + CORNERS}1000000000000000 0 1 2\n`),
    ],
    [
      '100 000 empty elements',
      text(
        header(`${'element air 0\n'.repeat(60_000)}${vertices('4')}element face 4\n${list}`) +
          CORNERS +
          FACES,
      ),
    ],
    ['a header without an end', text(`ply\nformat ascii 1.0\n${'comment and so on\n'.repeat(100_000)}`)],
    [
      'a face of 12 000 corners that winds',
      text(header(`${vertices('12000')}element face 1\n${list}`) + comb(12_000)),
    ],
    ['a mesh with a hole of 20 000 edges', text(openPlate(20_000))],
    [
      'a digit a million long',
      text(
        header(`${vertices('4')}element face 4\n${list}`) +
          CORNERS.replace('60', '6'.repeat(1_000_000)) +
          FACES,
      ),
    ],
  ];
}

/** A polygon of thin teeth: every ear is looked for among all other corners. */
function comb(corners: number): string {
  const points: string[] = [];
  for (let k = 0; k < corners; k++) {
    const along = (100 * k) / corners;
    points.push(`${along.toFixed(4)} ${k % 2 === 0 ? 0 : 30 + (k % 7)} 0`);
  }
  const ring = Array.from({ length: corners }, (_, k) => k);
  return `${points.join('\n')}\n${corners} ${ring.join(' ')}\n`;
}

export function hostileStl(): Hostile {
  const binary = new Uint8Array(134);
  new DataView(binary.buffer).setUint32(80, 0xffffffff, true);
  return [
    ['4 billion facets promised', binary],
    ['solid without end', text('solid '.repeat(200_000))],
    [
      'facets of nothing',
      text(
        `solid a\n${'facet normal 0 0 0 outer loop vertex 0 0 0 vertex 0 0 0 vertex 0 0 0 endloop endfacet\n'.repeat(10_000)}endsolid`,
      ),
    ],
  ];
}

export function hostileObj(): Hostile {
  const vertices = CORNERS.replace(/^(?=.)/gm, 'v ');
  return [
    ['vertex 9e15', text(`${vertices}f 1 2 9007199254740993\n`)],
    ['one face of 100 000 corners', text(`${vertices}f ${'1 2 3 '.repeat(33_000)}\n`)],
    ['20 000 faces of 100 corners', text(`${vertices}${`f ${'1 2 3 4 '.repeat(25)}\n`.repeat(8000)}`)],
    ['a backslash at every line end', text('v 0 0 \\\n'.repeat(100_000))],
    ['a million blank lines', text(`${'\n'.repeat(1_000_000)}v`)],
  ];
}

/** A document of many nodes over many primitives: few bytes that ask for their product. */
function crossed(nodes: number, primitives: number): string {
  return JSON.stringify({
    asset: { version: '2.0' },
    scene: 0,
    scenes: [{ nodes: Array.from({ length: nodes }, (_, k) => k) }],
    nodes: Array.from({ length: nodes }, () => ({ mesh: 0 })),
    meshes: [{ primitives: Array.from({ length: primitives }, () => ({ attributes: { POSITION: 0 } })) }],
    accessors: [{ type: 'VEC3', componentType: 5126, count: 0, bufferView: 0 }],
    bufferViews: [{ buffer: 0, byteLength: 1 }],
    buffers: [{ byteLength: 1, uri: 'data:application/octet-stream;base64,AAAA' }],
  });
}

export function hostileGltf(): Hostile {
  const asset = '{"asset":{"version":"2.0"}';
  const ring = { asset: { version: '2.0' }, scene: 0, scenes: [{ nodes: [0] }], nodes: [{ children: [0] }] };
  const chain = {
    ...ring,
    nodes: Array.from({ length: 50_000 }, (_, k) => ({ children: [k + 1], scale: [9, 9, 9] })),
  };
  return [
    ['nested without end', text(`${asset},"nodes":${'['.repeat(500_000)}`)],
    ['nested without end, closed', text(`${asset},"extras":${'['.repeat(300_000)}${']'.repeat(300_000)}}`)],
    ['a version that is nested', text(`{"asset":{"version":${'['.repeat(50_000)}${']'.repeat(50_000)}}}`)],
    ['a node that holds itself', text(JSON.stringify(ring))],
    ['a chain of 50 000 nodes', text(JSON.stringify(chain))],
    ['20 000 nodes over 20 000 primitives', text(crossed(20_000, 20_000))],
    [
      'a million extensions',
      text(`${asset},"extensionsRequired":[${'"KHR_materials_a",'.repeat(60_000)}"x"]}`),
    ],
    ['a key that reaches a prototype', text(`${asset},"__proto__":{"polluted":true},"scene":"__proto__"}`)],
  ];
}
