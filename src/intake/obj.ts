import { FaceCollector } from './faceCollector.ts';
import { GrowingPositions } from './growable.ts';
import type { RawMesh } from './rawMesh.ts';
import { TextScanner } from './textScanner.ts';
import { IntakeError } from './types.ts';
import { verifyCoordinates } from './verify.ts';
import { clip } from './wording.ts';

/** Statements that say nothing about the surface itself: walked over. */
const IGNORED = new Set(
  (
    'vt vn vp p l g s o mg usemtl mtllib usemap maplib bevel c_interp d_interp lod shadow_obj trace_obj ' +
    'cstype deg bmat step parm trim hole scrv sp end con ctech stech call csh'
  ).split(' '),
);

/** Curved statements: a file that holds them is not (only) a mesh of faces. */
const CURVED = new Set(['curv', 'curv2', 'surf']);

/**
 * Wavefront OBJ: vertices and polygons of all groups as one mesh. Colours after the coordinates, texture and normal
 * indices, groups and materials are ignored.
 * Format: Alias|Wavefront, "Advanced Visualizer Manual", appendix B1 (memory).
 */
export function readObj(bytes: Uint8Array, offset = 0): RawMesh {
  const scanner = new TextScanner(bytes, { offset, continues: true });
  const positions = new GrowingPositions();
  const faces = new FaceReader(scanner, positions);
  while (scanner.skipBlankLines()) {
    if (scanner.takeWord('v')) readVertex(scanner, positions);
    else if (scanner.takeWord('f')) faces.read();
    else if (scanner.bytes[scanner.offset] !== HASH) verifyStatement(scanner);
    scanner.nextLine();
  }
  return faces.finish();
}

const HASH = 35;
const SLASH = 47;

/** Of the statements that make no mesh, lets pass those that say nothing about the surface. */
function verifyStatement(scanner: TextScanner): void {
  const word = scanner.word();
  if (CURVED.has(word)) {
    throw new IntakeError(
      'curved',
      `Line ${scanner.line} of the OBJ file describes a curved surface (“${word}”); save it as a mesh of triangles.`,
    );
  }
  if (IGNORED.has(word)) return;
  throw new IntakeError(
    'bad-line',
    `Line ${scanner.line} of the OBJ file starts with “${clip(word)}”, which is no OBJ statement.`,
  );
}

function readVertex(scanner: TextScanner, positions: GrowingPositions): void {
  positions.push(coordinate(scanner), coordinate(scanner), coordinate(scanner));
}

function coordinate(scanner: TextScanner): number {
  const more = scanner.skipSpaces();
  const value = more ? scanner.number() : Number.NaN;
  if (!Number.isNaN(value)) return value;
  throw new IntakeError(
    'bad-coordinate',
    more
      ? `Line ${scanner.line} of the OBJ file has “${clip(scanner.word())}” where a finite coordinate belongs.`
      : `Line ${scanner.line} of the OBJ file ends before the three coordinates of its vertex.`,
  );
}

class FaceReader {
  private readonly faces = new FaceCollector(1024);
  private readonly ring: number[] = [];
  private numFaces = 0;
  private highest = -1;
  private lineOfHighest = 0;

  constructor(
    private readonly scanner: TextScanner,
    private readonly positions: GrowingPositions,
  ) {}

  /** Corners `v`, `v/vt`, `v//vn` or `v/vt/vn`; negative ones count back from the last vertex read. */
  read(): void {
    const { scanner, ring } = this;
    const { line } = scanner;
    let corners = 0;
    while (scanner.skipSpaces() && scanner.bytes[scanner.offset] !== HASH) {
      const start = scanner.offset;
      const index = scanner.integer();
      if (Number.isNaN(index) || (!scanner.atBreak && scanner.bytes[scanner.offset] !== SLASH)) {
        scanner.offset = start;
        throw new IntakeError(
          'bad-index',
          `Line ${line} of the OBJ file has “${clip(scanner.word())}” where a vertex number belongs.`,
        );
      }
      scanner.skipWord();
      const vertex = index > 0 ? index - 1 : this.positions.numVertices + index;
      if (index === 0 || vertex < 0) {
        throw new IntakeError(
          'bad-index',
          index === 0
            ? `Line ${line} of the OBJ file names vertex 0, but vertices count from 1.`
            : `Line ${line} of the OBJ file names vertex ${index}, but only ${this.positions.numVertices} came before it.`,
        );
      }
      if (vertex > this.highest) {
        this.highest = vertex;
        this.lineOfHighest = line;
      }
      ring[corners++] = vertex;
    }
    if (corners < 3 && scanner.atEnd) {
      throw new IntakeError('truncated', `The OBJ file ends at line ${line}, within a face.`);
    }
    this.numFaces++;
    this.faces.face(ring, corners);
  }

  finish(): RawMesh {
    const { numVertices } = this.positions;
    if (numVertices === 0) throw new IntakeError('empty', 'The OBJ file holds no vertices.');
    if (this.numFaces === 0) {
      throw new IntakeError(
        'no-faces',
        `The OBJ file is a point cloud: it has ${numVertices} vertices but no faces. Mesh it before measuring.`,
      );
    }
    if (this.highest >= numVertices) {
      throw new IntakeError(
        'bad-index',
        `Line ${this.lineOfHighest} of the OBJ file names vertex ${this.highest + 1}, but there are only ${numVertices}.`,
      );
    }
    const positions = this.positions.finish();
    verifyCoordinates(positions, (v) => `vertex ${v + 1}`);
    return { positions, triangles: this.faces.finish(positions), numEmptyFaces: this.faces.numEmpty };
  }
}
