import { JsonValue } from './json.ts';
import { IntakeError } from './types.ts';
import { clip, count } from './wording.ts';

/** The document of a glTF 2.0 file and, from a GLB container, its binary chunk. */
export interface GltfDocument {
  readonly json: JsonValue;
  readonly binary: Uint8Array | undefined;
}

const JSON_CHUNK = 0x4e4f534a;
const BIN_CHUNK = 0x004e4942;

/** Format: Khronos glTF 2.0 specification, section 4, "GLB File Format". */
export function openGlb(bytes: Uint8Array): GltfDocument {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.length < 20) {
    throw new IntakeError('truncated', `The GLB file ends at byte ${bytes.length}, within its header.`);
  }
  const version = view.getUint32(4, true);
  if (version !== 2) {
    throw new IntakeError('unsupported', `The GLB file has version ${version}; only version 2 can be read.`);
  }
  const length = view.getUint32(8, true);
  if (length > bytes.length) {
    throw new IntakeError(
      'truncated',
      `The GLB header promises ${count(length, 'byte')}, but the file has ${bytes.length}.`,
    );
  }
  let json: Uint8Array | undefined;
  let binary: Uint8Array | undefined;
  for (let offset = 12; offset + 8 <= length; ) {
    const end = offset + 8 + view.getUint32(offset, true);
    const type = view.getUint32(offset + 4, true);
    if (end > length) {
      throw new IntakeError(
        'truncated',
        `The GLB chunk at byte ${offset} promises to end at byte ${end}, but the file ends at byte ${length}.`,
      );
    }
    if (offset === 12 && type !== JSON_CHUNK) {
      throw new IntakeError(
        'bad-gltf',
        'The first chunk of the GLB file (byte 12) is not its JSON document.',
      );
    }
    const chunk = bytes.subarray(offset + 8, end);
    if (type === JSON_CHUNK) json ??= chunk;
    else if (type === BIN_CHUNK) binary ??= chunk;
    offset = end;
  }
  if (json === undefined) throw new IntakeError('bad-gltf', 'The GLB file has no JSON document.');
  return { json: parse(json), binary };
}

export function openGltf(bytes: Uint8Array, offset: number): GltfDocument {
  return { json: parse(bytes.subarray(offset)), binary: undefined };
}

function parse(bytes: Uint8Array): JsonValue {
  let value: unknown;
  try {
    value = JSON.parse(new TextDecoder().decode(bytes));
  } catch (error) {
    throw new IntakeError(
      'bad-gltf',
      `The glTF document is no valid JSON, or ends too soon: ${clip(error instanceof Error ? error.message : '')}.`,
    );
  }
  const json = new JsonValue(value);
  const version = json.member('asset').member('version').text();
  if (!/^2\.\d+$/.test(version)) {
    throw new IntakeError(
      'unsupported',
      `The glTF file has version “${clip(version)}”; only version 2 can be read.`,
    );
  }
  for (const extension of json.member('extensionsRequired').entries()) verifyExtension(extension.text());
  return json;
}

/** Extensions that change nothing about where the surface is, or that are read. */
const HARMLESS = [
  /^(?:KHR|EXT|MSFT|AGI|ADOBE)_(?:materials|texture|lights|xmp|animation)/,
  /^KHR_mesh_quantization$/,
  /^(?:KHR|EXT)_meshopt_compression$/,
];

function verifyExtension(name: string): void {
  if (HARMLESS.some((known) => known.test(name))) return;
  throw new IntakeError(
    'unsupported',
    `The glTF file requires the extension ${clip(name, 60)}, which can't be read; save it without compression and extensions.`,
  );
}
