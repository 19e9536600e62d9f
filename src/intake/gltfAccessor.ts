import type { GltfBuffers } from './gltfBuffers.ts';
import type { JsonValue } from './json.ts';
import { IntakeError } from './types.ts';
import { count } from './wording.ts';

interface Component {
  readonly bytes: number;
  /** What a whole number stands for where the accessor is normalised: value ÷ this, not below −1. */
  readonly most: number;
  readonly read: (view: DataView, offset: number) => number;
}

/** By componentType (glTF 2.0, section 3.6.2.2). */
const COMPONENTS: ReadonlyMap<number, Component> = new Map<number, Component>([
  [5120, { bytes: 1, most: 127, read: (view, at) => view.getInt8(at) }],
  [5121, { bytes: 1, most: 255, read: (view, at) => view.getUint8(at) }],
  [5122, { bytes: 2, most: 32767, read: (view, at) => view.getInt16(at, true) }],
  [5123, { bytes: 2, most: 65535, read: (view, at) => view.getUint16(at, true) }],
  [5125, { bytes: 4, most: 1, read: (view, at) => view.getUint32(at, true) }],
  [5126, { bytes: 4, most: 1, read: (view, at) => view.getFloat32(at, true) }],
]);

const INDEX_TYPES = [5121, 5123, 5125];

/**
 * Number of positions in an accessor, after a check that its data are there. `fileBytes` bounds what an accessor without
 * data of its own, all zeros, may ask for.
 */
export function countPositions(accessor: JsonValue, buffers: GltfBuffers, fileBytes: number): number {
  verifyType(accessor, 'VEC3');
  const numElements = accessor.member('count').whole();
  const component = positionComponent(accessor);
  const view = accessor.member('bufferView');
  if (view.isPresent) {
    verifyFits(accessor, buffers.view(view), accessor.member('byteOffset'), numElements, 3 * component.bytes);
  } else if (!accessor.member('sparse').isPresent) {
    throw new IntakeError(
      'bad-gltf',
      `In the glTF file, ${accessor.path} holds positions but names no data.`,
    );
  } else if (numElements > fileBytes) {
    throw new IntakeError(
      'wrong-count',
      `In the glTF file, ${accessor.path} promises ${count(numElements, 'position')} without data for them.`,
    );
  }
  return numElements;
}

/** The positions that `countPositions` has counted: count × 3 numbers. */
export function readPositions(accessor: JsonValue, buffers: GltfBuffers): Float64Array {
  const numElements = accessor.member('count').whole();
  const component = positionComponent(accessor);
  const view = accessor.member('bufferView');
  const sparse = accessor.member('sparse');
  const out = new Float64Array(3 * numElements);
  const scale = accessor.member('normalized').value === true ? component.most : 1;
  if (view.isPresent) {
    fillTriples(out, buffers.view(view), accessor.member('byteOffset').whole(0), component, scale);
  }
  if (sparse.isPresent) fillSparse(out, sparse, buffers, component, scale, numElements);
  return out;
}

function positionComponent(accessor: JsonValue): Component {
  return componentOf(accessor.member('componentType'), [...COMPONENTS.keys()]);
}

function fillTriples(
  out: Float64Array,
  { bytes, stride }: { bytes: Uint8Array; stride: number },
  start: number,
  component: Component,
  scale: number,
  places?: Uint32Array,
): void {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const step = stride || 3 * component.bytes;
  const numElements = places?.length ?? out.length / 3;
  for (let i = 0; i < numElements; i++) {
    const to = 3 * (places?.[i] ?? i);
    for (let axis = 0; axis < 3; axis++) {
      const value = component.read(view, start + step * i + component.bytes * axis);
      out[to + axis] = scale === 1 ? value : Math.max(-1, value / scale);
    }
  }
}

/** Overwrites the elements that a sparse accessor names. */
function fillSparse(
  out: Float64Array,
  sparse: JsonValue,
  buffers: GltfBuffers,
  component: Component,
  scale: number,
  numElements: number,
): void {
  const length = sparse.member('count').whole();
  const indices = sparse.member('indices');
  verifyWholes(indices, buffers, length);
  const places = readWholes(indices, buffers, length);
  for (let i = 0; i < length; i++) {
    if (places[i] >= numElements || (i > 0 && places[i] <= places[i - 1])) {
      throw new IntakeError(
        'bad-index',
        `In the glTF file, entry ${i} of ${indices.path} is ${places[i]}: not above the one before, or not below ${numElements}.`,
      );
    }
  }
  const values = sparse.member('values');
  const source = { ...buffers.view(values.member('bufferView')), stride: 0 };
  verifyFits(values, source, values.member('byteOffset'), length, 3 * component.bytes);
  fillTriples(out, source, values.member('byteOffset').whole(0), component, scale, places);
}

/** Number of vertex indices in an accessor, after a check that its data are there. */
export function countIndices(accessor: JsonValue, buffers: GltfBuffers): number {
  verifyType(accessor, 'SCALAR');
  if (accessor.member('sparse').isPresent || !accessor.member('bufferView').isPresent) {
    throw new IntakeError(
      'unsupported',
      `In the glTF file, ${accessor.path} holds indices without a plain buffer view.`,
    );
  }
  const length = accessor.member('count').whole();
  verifyWholes(accessor, buffers, length);
  return length;
}

/** The vertex indices that `countIndices` has counted. */
export function readIndices(accessor: JsonValue, buffers: GltfBuffers): Uint32Array {
  return readWholes(accessor, buffers, accessor.member('count').whole());
}

function verifyWholes(holder: JsonValue, buffers: GltfBuffers, length: number): void {
  const { bytes } = componentOf(holder.member('componentType'), INDEX_TYPES);
  verifyFits(holder, buffers.view(holder.member('bufferView')), holder.member('byteOffset'), length, bytes);
}

/** `holder` has bufferView, byteOffset and componentType: an accessor of indices or the indices of a sparse one. */
function readWholes(holder: JsonValue, buffers: GltfBuffers, length: number): Uint32Array {
  const { bytes: size, read } = componentOf(holder.member('componentType'), INDEX_TYPES);
  const source = buffers.view(holder.member('bufferView'));
  const start = holder.member('byteOffset').whole(0);
  const step = source.stride || size;
  const view = new DataView(source.bytes.buffer, source.bytes.byteOffset, source.bytes.byteLength);
  const out = new Uint32Array(length);
  for (let i = 0; i < length; i++) out[i] = read(view, start + step * i);
  return out;
}

function verifyType(accessor: JsonValue, wanted: string): void {
  const type = accessor.member('type');
  if (type.value !== wanted) throw type.isNot(wanted);
}

function componentOf(type: JsonValue, allowed: readonly number[]): Component {
  const component = allowed.includes(type.value as number) ? COMPONENTS.get(type.value as number) : undefined;
  if (component === undefined) throw type.isNot(`one of ${allowed.join(', ')}`);
  return component;
}

/** Before anything is allocated: whether the view holds what is promised. */
function verifyFits(
  holder: JsonValue,
  { bytes, stride, path }: { bytes: Uint8Array; stride: number; path: string },
  byteOffset: JsonValue,
  numElements: number,
  elementBytes: number,
): void {
  if (stride > 0 && stride < elementBytes) {
    throw new IntakeError(
      'bad-gltf',
      `In the glTF file, ${path} has a byteStride of ${stride} for elements of ${elementBytes} bytes.`,
    );
  }
  const needed =
    numElements === 0 ? 0 : byteOffset.whole(0) + (stride || elementBytes) * (numElements - 1) + elementBytes;
  if (needed <= bytes.length) return;
  throw new IntakeError(
    'truncated',
    `In the glTF file, ${holder.path} promises ${count(numElements, 'element')} (${needed} bytes), but ${path} has ${bytes.length}.`,
  );
}
