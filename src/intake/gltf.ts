import { countIndices, countPositions, readIndices, readPositions } from './gltfAccessor.ts';
import { GltfBuffers } from './gltfBuffers.ts';
import type { GltfDocument } from './gltfContainer.ts';
import { mirrors, type PlacedMesh, placeMeshes, transformInPlace } from './gltfNodes.ts';
import type { JsonValue } from './json.ts';
import { type RawMesh, verifySize } from './rawMesh.ts';
import { IntakeError } from './types.ts';
import { badIndex, verifyCoordinates } from './verify.ts';
import { count } from './wording.ts';

/** Primitive modes that make a surface (glTF 2.0, section 3.7.2.1); points and lines are 0 to 3. */
const TRIANGLES = 4;
const STRIP = 5;
const FAN = 6;

/** How often the nodes of a file may show a mesh, roughly. */
const MOST_REPEATED = 8;

/** A primitive with its counts known but its data not yet read. */
interface Planned {
  readonly primitive: JsonValue;
  readonly mode: number;
  readonly positions: JsonValue;
  readonly indices: JsonValue | undefined;
  readonly numVertices: number;
  readonly numTriangles: number;
}

/** Triangles of every mesh in the scene, placed by the nodes above it, as one mesh. `fileBytes`: size of the file. */
export function readGltf(document: GltfDocument, fileBytes: number): RawMesh {
  const { json } = document;
  const reader = new GltfReader(json, new GltfBuffers(document), fileBytes);
  return reader.read(placeMeshes(json));
}

class GltfReader {
  constructor(
    private readonly json: JsonValue,
    private readonly buffers: GltfBuffers,
    private readonly fileBytes: number,
  ) {}

  read(placed: readonly PlacedMesh[]): RawMesh {
    const planOf = new Map<string, Planned[]>();
    const plans = placed.map(({ mesh, matrix }) => {
      const primitives = planOf.get(mesh.path) ?? this.plan(mesh);
      planOf.set(mesh.path, primitives);
      return { matrix, primitives };
    });
    const numShown = plans.reduce((sum, { primitives }) => sum + primitives.length, 0);
    this.verifyShown(numShown);
    if (plans.every(({ primitives }) => primitives.length === 0)) {
      throw new IntakeError(
        'no-faces',
        'The glTF file has no mesh with triangles in the scene that it shows.',
      );
    }
    const numTriangles = plans.reduce((sum, { primitives }) => sum + countTriangles(primitives), 0);
    const numVertices = plans.reduce((sum, { primitives }) => sum + countVertices(primitives), 0);
    verifySize(numVertices, numTriangles);
    this.verifyRepetition(numVertices, numTriangles);
    const positions = new Float64Array(3 * numVertices);
    const triangles = new Uint32Array(3 * numTriangles);
    let usedPositions = 0;
    let usedTriangles = 0;
    for (const { matrix, primitives } of plans) {
      const starts = new Map<string, number>();
      const inside = mirrors(matrix);
      for (const plan of primitives) {
        let start = starts.get(plan.positions.path);
        if (start === undefined) {
          start = usedPositions / 3;
          starts.set(plan.positions.path, start);
          const points = readPositions(plan.positions, this.buffers);
          verifyCoordinates(points, (v) => `element ${v} of ${plan.positions.path} in the glTF file`);
          transformInPlace(points, matrix);
          positions.set(points, usedPositions);
          usedPositions += points.length;
        }
        const out = triangles.subarray(usedTriangles, usedTriangles + 3 * plan.numTriangles);
        this.fill(plan, start, inside, out);
        usedTriangles += out.length;
      }
    }
    verifyCoordinates(positions, (v) => `vertex ${v}, moved by the nodes of the glTF file,`);
    return { positions, triangles, numEmptyFaces: 0 };
  }

  /** Without repetition a triangle and a vertex take a byte at least; a small file must not ask for a vast scene. */
  private verifyRepetition(numVertices: number, numTriangles: number): void {
    if (Math.max(numVertices, numTriangles) <= MOST_REPEATED * this.fileBytes) return;
    throw new IntakeError(
      'too-large',
      `The glTF file shows its meshes so often that ${count(this.fileBytes, 'byte')} make ${count(numTriangles, 'triangle')} and ${count(numVertices, 'vertex')}.`,
    );
  }

  /** Primitives take time even when they hold no triangle. */
  private verifyShown(numPrimitives: number): void {
    if (numPrimitives <= this.fileBytes) return;
    throw new IntakeError(
      'too-large',
      `The glTF file shows its meshes so often that ${count(this.fileBytes, 'byte')} make ${count(numPrimitives, 'primitive')}.`,
    );
  }

  /** Counts of the mesh's primitives that make a surface. */
  private plan(mesh: JsonValue): Planned[] {
    const planned: Planned[] = [];
    for (const primitive of mesh.member('primitives').entries()) {
      const mode = primitive.member('mode').whole(TRIANGLES);
      if (mode > FAN) throw primitive.member('mode').isNot('a number from 0 to 6');
      if (mode < TRIANGLES) continue;
      const accessors = this.json.member('accessors');
      const position = primitive.member('attributes').member('POSITION');
      if (!position.isPresent)
        throw new IntakeError('bad-gltf', `In the glTF file, ${primitive.path} has no positions.`);
      const positions = accessors.entryFor(position);
      const index = primitive.member('indices');
      const indices = index.isPresent ? accessors.entryFor(index) : undefined;
      const numVertices = countPositions(positions, this.buffers, this.fileBytes);
      const numCorners = indices === undefined ? numVertices : countIndices(indices, this.buffers);
      if (mode === TRIANGLES && numCorners % 3 !== 0) {
        throw new IntakeError(
          'wrong-count',
          `In the glTF file, ${primitive.path} has ${numCorners} corners, which is no multiple of 3.`,
        );
      }
      const numTriangles = mode === TRIANGLES ? numCorners / 3 : Math.max(0, numCorners - 2);
      planned.push({ primitive, mode, positions, indices, numVertices, numTriangles });
    }
    return planned;
  }

  /** Writes the triangles of one primitive, its vertices beginning at `start`. */
  private fill(plan: Planned, start: number, inside: boolean, out: Uint32Array): void {
    const { mode, numTriangles, numVertices, primitive } = plan;
    const indices = plan.indices === undefined ? undefined : readIndices(plan.indices, this.buffers);
    const corner = (k: number): number => {
      const index = indices === undefined ? k : indices[k];
      if (index >= numVertices)
        throw badIndex(index, numVertices, `Corner ${k} of ${primitive.path} in the glTF file`);
      return start + index;
    };
    for (let t = 0; t < numTriangles; t++) {
      const first = mode === TRIANGLES ? 3 * t : mode === STRIP ? t : 0;
      const second = mode === TRIANGLES ? first + 1 : t + 1;
      const odd = mode === STRIP && t % 2 === 1;
      out[3 * t] = corner(first);
      out[3 * t + (odd !== inside ? 2 : 1)] = corner(second);
      out[3 * t + (odd !== inside ? 1 : 2)] = corner(second + 1);
    }
  }
}

function countTriangles(primitives: readonly Planned[]): number {
  return primitives.reduce((sum, plan) => sum + plan.numTriangles, 0);
}

function countVertices(primitives: readonly Planned[]): number {
  const counted = new Map(primitives.map(({ positions, numVertices }) => [positions.path, numVertices]));
  return [...counted.values()].reduce((sum, n) => sum + n, 0);
}
