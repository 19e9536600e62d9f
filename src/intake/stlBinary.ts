import { type RawMesh, soup, verifySize } from './rawMesh.ts';
import { IntakeError } from './types.ts';
import { verifyCoordinates } from './verify.ts';
import { count } from './wording.ts';

const HEADER_BYTES = 84;
const FACET_BYTES = 50;

/** Binary STL: 80 bytes of anything, a count, then 50 bytes a facet; little-endian. Normals and attributes are ignored. */
export function readStlBinary(bytes: Uint8Array): RawMesh {
  if (bytes.length < HEADER_BYTES) {
    throw new IntakeError(
      'truncated',
      `The binary STL file ends at byte ${bytes.length}, within its ${HEADER_BYTES} bytes of header.`,
    );
  }
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const numTriangles = view.getUint32(80, true);
  const room = (bytes.length - HEADER_BYTES) / FACET_BYTES;
  if (numTriangles > room) {
    throw new IntakeError(
      'truncated',
      `The binary STL file promises ${count(numTriangles, 'triangle')}, but its ${count(bytes.length, 'byte')} hold only ${Math.floor(room)}.`,
    );
  }
  if (numTriangles + 1 <= room) {
    throw new IntakeError(
      'wrong-count',
      `The binary STL file promises ${count(numTriangles, 'triangle')}, but its ${count(bytes.length, 'byte')} hold ${Math.floor(room)}.`,
    );
  }
  if (numTriangles === 0) throw new IntakeError('empty', 'The binary STL file holds no triangles.');
  verifySize(3 * numTriangles, numTriangles);
  const positions = new Float64Array(9 * numTriangles);
  for (let t = 0; t < numTriangles; t++) {
    const from = HEADER_BYTES + FACET_BYTES * t + 12;
    for (let k = 0; k < 9; k++) positions[9 * t + k] = view.getFloat32(from + 4 * k, true);
  }
  verifyCoordinates(positions, (v) => {
    const t = Math.floor(v / 3);
    return `corner ${v % 3} of triangle ${t} (byte ${HEADER_BYTES + FACET_BYTES * t + 12 + 12 * (v % 3)})`;
  });
  return { positions, triangles: soup(numTriangles), numEmptyFaces: 0 };
}
