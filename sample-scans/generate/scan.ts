import { MM_PER_UNIT } from '../../src/intake/types.ts';
import { glbBytes } from './files/glb.ts';
import { plyBytes } from './files/ply.ts';
import { stlBytes } from './files/stl.ts';
import { marginRing } from './marginRing.ts';
import type { Made, Piece } from './piece.ts';
import { planDomain } from './planDomain.ts';
import { anyPose, moved } from './pose.ts';
import { type SolidMesh, solidMesh } from './solidMesh.ts';
import type { Stone } from './stone.ts';
import { type Truth, truthOf } from './truth.ts';
import { truthText } from './truthFile.ts';

const COMMENT = 'Quillhythe Terrace: invented piece, see drawer.json';
const WRITERS = { ply: plyBytes, stl: stlBytes, glb: glbBytes } as const;

/** Spacing of the margin that the truth is taken from, mm. */
const RING_STEP = 0.1;

export interface ScannedPiece {
  readonly scan: Uint8Array;
  readonly truth: string;
  readonly triangles: number;
}

/** Knaps a piece, scans it in some pose and unit, and states its truth. The same piece gives the same bytes. */
export function scanPiece(piece: Piece): ScannedPiece {
  const { mesh, truth } = scanMade(piece.make(), piece.spacing);
  const pose = anyPose(piece.pose);
  return {
    scan: WRITERS[piece.format](posed(mesh, piece), COMMENT),
    truth: truthText(piece, pose, truth),
    triangles: mesh.triangles.length / 3,
  };
}

/** The mesh of a stone with edges of `spacing` mm, and its truth, both in the stone's own place. */
export function scanMade({ stone, humps = [] }: Made, spacing: number): { mesh: SolidMesh; truth: Truth } {
  const domain = planDomain(stone, boxOf(stone), spacing);
  const mesh = solidMesh(stone, domain, spacing);
  return { mesh, truth: truthOf(stone, marginRing(stone, domain, RING_STEP), humps) };
}

/** The mesh as the file holds it: in the scanner's pose and the file's unit. */
function posed(mesh: SolidMesh, piece: Piece): SolidMesh {
  const inFile = moved(anyPose(piece.pose), mesh.positions).map((c) => c / MM_PER_UNIT[piece.unit]);
  return { positions: inFile, triangles: mesh.triangles };
}

/** Plan box of the stone, found by looking every 2 mm, with room to spare. */
function boxOf(stone: Stone): { x0: number; y0: number; x1: number; y1: number } {
  const box = { x0: Infinity, y0: Infinity, x1: -Infinity, y1: -Infinity };
  for (let x = -120; x <= 120; x += 2) {
    for (let y = -120; y <= 120; y += 2) {
      if (stone.thickness(x, y) <= 0) continue;
      box.x0 = Math.min(box.x0, x - 4);
      box.y0 = Math.min(box.y0, y - 4);
      box.x1 = Math.max(box.x1, x + 4);
      box.y1 = Math.max(box.y1, y + 4);
    }
  }
  return box;
}
