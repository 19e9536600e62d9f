import { validateMesh } from '../../src/geometry/meshValidate.ts';
import { readerReady, readScan } from '../../src/intake/readScan.ts';
import { DEFAULT_SCAN_SETTINGS } from '../../src/intake/settings.ts';
import { ellipsoid, facesOf } from '../intake/support/shapes.ts';
import { writeGlb, writeGltf } from '../intake/support/writeGltf.ts';
import { writeObj } from '../intake/support/writeObj.ts';
import { writePly, writePlyBinary } from '../intake/support/writePly.ts';
import { writeStlAscii, writeStlBinary } from '../intake/support/writeStl.ts';
import { hostileGltf, hostileObj, hostilePly, hostileStl } from './hostileScans.ts';
import type { Subject } from './subject.ts';

const mesh = ellipsoid(4, 6, [28, 60, 11]);
const faces = facesOf(mesh);

async function read(bytes: Uint8Array): Promise<void> {
  await readerReady;
  const scan = readScan(bytes, DEFAULT_SCAN_SETTINGS);
  const problems = validateMesh(scan.mesh, scan.twins, { closed: scan.closed, outward: scan.closed });
  if (problems.length > 0) throw new Error(`unsound: ${problems.join('; ')}`);
  if ((scan.repair.holesLeft === 0) !== scan.closed) throw new Error('unsound: closed with holes');
}

export const SCAN_SUBJECTS: readonly Subject[] = [
  {
    name: 'ply',
    good: [
      writePlyBinary(mesh),
      writePly(mesh.positions, faces, { encoding: 'ascii', after: ['uchar'] }),
      writePly(mesh.positions, faces, {
        encoding: 'binary_big_endian',
        countType: 'int',
        faceAfter: ['list', 'uchar'],
        extraElement: true,
      }),
    ],
    text: false,
    hostile: hostilePly,
    read,
  },
  { name: 'stl', good: [writeStlBinary(mesh), writeStlAscii(mesh)], text: false, hostile: hostileStl, read },
  {
    name: 'obj',
    good: [writeObj(mesh.positions, faces, { corner: 'v/t/n', negative: true, continued: true })],
    text: false,
    hostile: hostileObj,
    read,
  },
  { name: 'glb', good: [writeGlb(mesh)], text: false, hostile: () => [], read },
  { name: 'gltf', good: [writeGltf(mesh)], text: true, hostile: hostileGltf, read },
];
