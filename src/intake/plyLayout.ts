import { type PlyElement, type PlyHeader, SCALAR_BYTES } from './plyHeader.ts';
import { IntakeError } from './types.ts';
import { clip } from './wording.ts';

/** Where a header keeps what a surface is made of. Numbers index `header.elements` and their properties. */
export interface PlyLayout {
  readonly vertexElement: number;
  readonly numVertices: number;
  /** Places of x, y and z among the vertex element's properties. */
  readonly xyz: readonly [number, number, number];
  readonly faceElement: number;
  /** Place of the list of corners among the face element's properties. */
  readonly corners: number;
  /** Lists are strips of triangles, parted by −1, rather than polygons. */
  readonly strips: boolean;
}

/** Names under which files keep the corners of a face: the first is Turk's own, the others common practice. */
const CORNER_NAMES = ['vertex_indices', 'vertex_index', 'vertex_indexes', 'vertexindices'];

/** Finds vertices and faces in a header; refuses one without them in words that say what is missing. */
export function findLayout({ elements }: PlyHeader): PlyLayout {
  const vertexElement = elements.findIndex((element) => element.name === 'vertex');
  if (vertexElement === -1) throw new IntakeError('no-vertices', 'The PLY header names no “vertex” element.');
  const vertex = elements[vertexElement];
  const xyz = (['x', 'y', 'z'] as const).map((name) => {
    const place = vertex.properties.findIndex((p) => p.name === name && p.countType === undefined);
    if (place === -1) {
      throw new IntakeError('no-vertices', `The vertices of the PLY file have no property “${name}”.`);
    }
    return place;
  }) as [number, number, number];
  if (vertex.count === 0)
    throw new IntakeError('empty', 'The PLY file holds no vertices: its header says 0.');
  const faceElement = elements.findIndex((element) => element.name === 'face' && element.count > 0);
  const stripElement = elements.findIndex((element) => element.name === 'tristrips' && element.count > 0);
  const chosen = faceElement === -1 ? stripElement : faceElement;
  if (chosen === -1) {
    throw new IntakeError(
      'no-faces',
      `The PLY file is a point cloud: it has ${vertex.count} vertices but no faces. Mesh it before measuring.`,
    );
  }
  return {
    vertexElement,
    numVertices: vertex.count,
    xyz,
    faceElement: chosen,
    corners: findCorners(elements[chosen]),
    strips: chosen !== faceElement,
  };
}

function findCorners(face: PlyElement): number {
  const place = face.properties.findIndex((p) => p.countType !== undefined && CORNER_NAMES.includes(p.name));
  if (place === -1) {
    throw new IntakeError(
      'no-faces',
      `The element “${clip(face.name)}” of the PLY file has no list “vertex_indices” or “vertex_index”.`,
    );
  }
  if (face.properties[place].type.startsWith('float')) {
    throw new IntakeError('bad-header', 'The PLY header gives vertex indices as fractional numbers.');
  }
  return place;
}

/** Fewest bytes that one record of a binary element takes: lists may be empty. */
export function leastBytes(element: PlyElement): number {
  let bytes = 0;
  for (const { type, countType } of element.properties) bytes += SCALAR_BYTES[countType ?? type];
  return bytes;
}
