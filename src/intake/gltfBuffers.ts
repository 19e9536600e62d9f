import type { GltfDocument } from './gltfContainer.ts';
import { compressedForm, unpackView } from './gltfMeshopt.ts';
import type { JsonValue } from './json.ts';
import { IntakeError } from './types.ts';
import { clip, count } from './wording.ts';

/** Bytes of buffers and buffer views, opened or unpacked when first asked for: textures may lie in files that nobody needs. */
export class GltfBuffers {
  private readonly opened = new Map<string, Uint8Array>();

  constructor(private readonly document: GltfDocument) {}

  /** The bytes of the buffer view that `index` names, and the stride between its elements (0: packed). */
  view(index: JsonValue): { bytes: Uint8Array; stride: number; path: string } {
    const { json } = this.document;
    const view = json.member('bufferViews').entryFor(index);
    const compressed = compressedForm(view);
    const stride = (compressed ?? view).member('byteStride').whole(0);
    return { bytes: compressed ? this.unpacked(compressed) : this.stretch(view), stride, path: view.path };
  }

  private unpacked(compressed: JsonValue): Uint8Array {
    const bytes = this.opened.get(compressed.path) ?? unpackView(compressed, this.stretch(compressed));
    this.opened.set(compressed.path, bytes);
    return bytes;
  }

  /** The stretch of a buffer that a view, or its compressed form, names. */
  private stretch(view: JsonValue): Uint8Array {
    const buffer = this.buffer(this.document.json.member('buffers').entryFor(view.member('buffer')));
    const offset = view.member('byteOffset').whole(0);
    const length = view.member('byteLength').whole();
    if (offset + length > buffer.length) {
      throw new IntakeError(
        'truncated',
        `In the glTF file, ${view.path} reaches to byte ${offset + length}, but its buffer has ${buffer.length}.`,
      );
    }
    return buffer.subarray(offset, offset + length);
  }

  private buffer(buffer: JsonValue): Uint8Array {
    const known = this.opened.get(buffer.path);
    if (known !== undefined) return known;
    const uri = buffer.member('uri');
    const bytes = uri.isPresent ? decodeDataUri(uri.text(), buffer.path) : this.document.binary;
    if (bytes === undefined) {
      throw new IntakeError(
        'bad-gltf',
        `In the glTF file, ${buffer.path} has neither a uri nor a binary chunk.`,
      );
    }
    const length = buffer.member('byteLength').whole();
    if (length > bytes.length) {
      throw new IntakeError(
        'truncated',
        `In the glTF file, ${buffer.path} promises ${count(length, 'byte')}, but has ${bytes.length}.`,
      );
    }
    this.opened.set(buffer.path, bytes);
    return bytes;
  }
}

function decodeDataUri(uri: string, path: string): Uint8Array {
  if (!/^data:/i.test(uri)) {
    throw new IntakeError(
      'external-buffer',
      `The glTF file keeps its data in another file, “${clip(uri)}” (${path}), which is not read; save it as one GLB file.`,
    );
  }
  const comma = uri.indexOf(',');
  if (comma === -1 || !/;base64$/i.test(uri.slice(0, comma))) {
    throw new IntakeError('bad-gltf', `In the glTF file, the data of ${path} are not in base64.`);
  }
  let binary: string;
  try {
    binary = atob(uri.slice(comma + 1));
  } catch {
    throw new IntakeError('bad-gltf', `In the glTF file, the data of ${path} are no valid base64.`);
  }
  const bytes = new Uint8Array(binary.length);
  for (let i = 0; i < bytes.length; i++) bytes[i] = binary.charCodeAt(i);
  return bytes;
}
