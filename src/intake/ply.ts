import { readPlyAscii } from './plyAscii.ts';
import { readPlyBinary } from './plyBinary.ts';
import { readPlyHeader } from './plyHeader.ts';
import { findLayout } from './plyLayout.ts';
import type { RawMesh } from './rawMesh.ts';

/** A PLY file of any encoding, layout and scalar types; what is neither vertex nor face is walked over. */
export function readPly(bytes: Uint8Array, offset = 0): RawMesh {
  const header = readPlyHeader(bytes, offset);
  const layout = findLayout(header);
  const read = header.encoding === 'ascii' ? readPlyAscii : readPlyBinary;
  return read(bytes, header, layout);
}
