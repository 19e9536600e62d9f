import type { JsonValue } from './json.ts';
import { IntakeError } from './types.ts';

/** A mesh as a node places it. */
export interface PlacedMesh {
  readonly mesh: JsonValue;
  /** 16 numbers, column-major: from the mesh's coordinates to the scene's. */
  readonly matrix: Float64Array;
}

/** A node still to be visited, and the matrix of those above it. */
interface Waiting {
  readonly index: JsonValue;
  readonly parent: Float64Array;
}

const IDENTITY = Float64Array.of(1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1);

/**
 * Every mesh of the scene that the file shows first, with its place. Nodes form trees: a node that is met twice, as in a
 * ring, is refused, which also bounds the walk. A file without scenes and nodes shows its meshes as they are.
 */
export function placeMeshes(json: JsonValue): PlacedMesh[] {
  const nodes = json.member('nodes');
  const roots = rootNodes(json);
  if (roots === undefined) {
    return json
      .member('meshes')
      .entries()
      .map((mesh) => ({ mesh, matrix: IDENTITY }));
  }
  const placed: PlacedMesh[] = [];
  const seen = new Set<unknown>();
  const waiting = roots.map((index): Waiting => ({ index, parent: IDENTITY })).reverse();
  for (let next = waiting.pop(); next !== undefined; next = waiting.pop()) {
    const node = nodes.entryFor(next.index);
    if (seen.has(node.value)) {
      throw new IntakeError(
        'bad-gltf',
        `In the glTF file, ${node.path} is reached twice (the second time by ${next.index.path}); nodes must form a tree.`,
      );
    }
    seen.add(node.value);
    const matrix = multiply(next.parent, localMatrix(node));
    const mesh = node.member('mesh');
    if (mesh.isPresent) placed.push({ mesh: json.member('meshes').entryFor(mesh), matrix });
    const children = node.member('children').entries();
    for (let i = children.length - 1; i >= 0; i--) waiting.push({ index: children[i], parent: matrix });
  }
  return placed;
}

/** Indices of the nodes to start from; undefined where the file has no nodes. */
function rootNodes(json: JsonValue): JsonValue[] | undefined {
  const scenes = json.member('scenes');
  const scene = json.member('scene');
  if (scene.isPresent) return scenes.entryFor(scene).member('nodes').entries();
  if (scenes.entries().length > 0) return scenes.entries()[0].member('nodes').entries();
  return undefined;
}

/** The node's own matrix, or translation · rotation · scale (glTF 2.0, section 3.5.3). */
function localMatrix(node: JsonValue): Float64Array {
  const matrix = node.member('matrix');
  if (matrix.isPresent) return Float64Array.from(matrix.numbers(16));
  const translation = node.member('translation');
  const rotation = node.member('rotation');
  const scale = node.member('scale');
  const [tx, ty, tz] = translation.isPresent ? translation.numbers(3) : [0, 0, 0];
  const [sx, sy, sz] = scale.isPresent ? scale.numbers(3) : [1, 1, 1];
  const [x, y, z, w] = rotation.isPresent ? unitQuaternion(rotation) : [0, 0, 0, 1];
  return Float64Array.of(
    (1 - 2 * (y * y + z * z)) * sx,
    2 * (x * y + z * w) * sx,
    2 * (x * z - y * w) * sx,
    0,
    2 * (x * y - z * w) * sy,
    (1 - 2 * (x * x + z * z)) * sy,
    2 * (y * z + x * w) * sy,
    0,
    2 * (x * z + y * w) * sz,
    2 * (y * z - x * w) * sz,
    (1 - 2 * (x * x + y * y)) * sz,
    0,
    tx,
    ty,
    tz,
    1,
  );
}

function unitQuaternion(rotation: JsonValue): number[] {
  const quaternion = rotation.numbers(4);
  const size = Math.hypot(...quaternion);
  if (!(size > 0)) throw rotation.isNot('a rotation (x, y, z, w), not all 0');
  return quaternion.map((part) => part / size);
}

/** a · b, both column-major: b acts first. */
function multiply(a: Float64Array, b: Float64Array): Float64Array {
  const out = new Float64Array(16);
  for (let column = 0; column < 4; column++) {
    for (let row = 0; row < 4; row++) {
      let sum = 0;
      for (let k = 0; k < 4; k++) sum += a[4 * k + row] * b[4 * column + k];
      out[4 * column + row] = sum;
    }
  }
  return out;
}

/** Moves points in place; the matrix is affine. */
export function transformInPlace(points: Float64Array, m: Float64Array): void {
  for (let i = 0; i < points.length; i += 3) {
    const x = points[i];
    const y = points[i + 1];
    const z = points[i + 2];
    points[i] = m[0] * x + m[4] * y + m[8] * z + m[12];
    points[i + 1] = m[1] * x + m[5] * y + m[9] * z + m[13];
    points[i + 2] = m[2] * x + m[6] * y + m[10] * z + m[14];
  }
}

/** Whether the matrix turns a surface inside out. */
export function mirrors(m: Float64Array): boolean {
  return (
    m[0] * (m[5] * m[10] - m[9] * m[6]) -
      m[4] * (m[1] * m[10] - m[9] * m[2]) +
      m[8] * (m[1] * m[6] - m[5] * m[2]) <
    0
  );
}
