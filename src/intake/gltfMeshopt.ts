import { MeshoptDecoder } from 'meshoptimizer/decoder';
import type { JsonValue } from './json.ts';
import { IntakeError } from './types.ts';
import { count } from './wording.ts';

/** Both names of the extension; its fields are the same. */
const NAMES = ['EXT_meshopt_compression', 'KHR_meshopt_compression'];

const MODES = ['ATTRIBUTES', 'TRIANGLES', 'INDICES'];
const FILTERS = ['NONE', 'OCTAHEDRAL', 'QUATERNION', 'EXPONENTIAL', 'COLOR'];

/** No honest stream unpacks to more times its own length. */
const MOST_TIMES = 1000;

let isReady = false;

/**
 * Settles when compressed glTF can be read: the decoder is WebAssembly, which the platform starts on its own. Never
 * rejects; where a page's policy forbids it, all but compressed files can be read. Waiting happens outside the readers,
 * because a module that waits while it loads would lose what is posted to its worker meanwhile.
 */
export const unpackerReady: Promise<void> = MeshoptDecoder.supported
  ? MeshoptDecoder.ready.then(
      () => {
        isReady = true;
      },
      () => {},
    )
  : Promise.resolve();

/** The compressed form of a buffer view, absent if it has none. */
export function compressedForm(view: JsonValue): JsonValue | undefined {
  const extensions = view.member('extensions');
  if (!extensions.isPresent) return undefined;
  return NAMES.map((name) => extensions.member(name)).find((extension) => extension.isPresent);
}

/** Unpacks a compressed buffer view from the bytes that its extension names. */
export function unpackView(extension: JsonValue, source: Uint8Array): Uint8Array {
  const numElements = extension.member('count').whole();
  const stride = extension.member('byteStride').whole();
  const mode = oneOf(extension.member('mode'), MODES);
  const filter = extension.member('filter').isPresent ? oneOf(extension.member('filter'), FILTERS) : 'NONE';
  if (!isReady) {
    throw new IntakeError(
      'unsupported',
      `The glTF file is compressed (${NAMES[0]}), which can't be unpacked here.`,
    );
  }
  if (numElements * stride > MOST_TIMES * source.length) {
    throw new IntakeError(
      'wrong-count',
      `In the glTF file, ${extension.path} promises ${count(numElements * stride, 'byte')} out of ${source.length}.`,
    );
  }
  const target = new Uint8Array(numElements * stride);
  try {
    MeshoptDecoder.decodeGltfBuffer(target, numElements, stride, source, mode, filter);
  } catch {
    throw new IntakeError(
      'bad-gltf',
      `In the glTF file, the compressed data of ${extension.path} are damaged.`,
    );
  }
  return target;
}

function oneOf(value: JsonValue, words: readonly string[]): string {
  const word = value.text();
  if (!words.includes(word)) throw value.isNot(`one of ${words.join(', ')}`);
  return word;
}
