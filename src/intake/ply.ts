import { readPlyBinary } from './plyBinary.ts';
import { readPlyHeader } from './plyHeader.ts';
import { findLayout } from './plyLayout.ts';
import type { RawMesh } from './rawMesh.ts';

export function readPly(bytes: Uint8Array): RawMesh {
  const header = readPlyHeader(bytes);
  const layout = findLayout(header);
  return readPlyBinary(bytes, header, layout);
}
