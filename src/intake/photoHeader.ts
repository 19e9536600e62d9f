import { readJpegHeader } from './photoJpeg.ts';
import { readPngHeader } from './photoPng.ts';
import { readTiffHeader } from './photoTiff.ts';
import type { PhotoHeader, PhotoLimits } from './photoTypes.ts';
import { readWebpHeader } from './photoWebp.ts';
import { sniff } from './sniff.ts';
import { IntakeError } from './types.ts';
import { count } from './wording.ts';

/** What a mesh file is called in a message. */
const MESHES: Readonly<Record<string, string>> = {
  ply: 'a PLY mesh',
  'stl-ascii': 'an STL mesh',
  'stl-binary': 'an STL mesh',
  obj: 'an OBJ mesh',
  gltf: 'a glTF mesh',
  glb: 'a GLB mesh',
};

const KINDS = 'JPEG, PNG, TIFF and WebP pictures are read as photographs';

/**
 * What the file says before any pixel is decoded: the content alone decides the format. Throws an IntakeError for an
 * empty, foreign, cut-off or unusable file, and for a picture over the limits: so a small file that unpacks to an
 * enormous picture is refused from its header alone.
 */
export function readPhotoHeader(bytes: Uint8Array, limits: PhotoLimits): PhotoHeader {
  if (bytes.length === 0) throw new IntakeError('empty', 'The file is empty.');
  const header = readByFormat(bytes);
  const { width, height } = header;
  if (width < 1 || height < 1)
    throw new IntakeError('broken-picture', 'The picture says that it has no pixels.');
  if (width > limits.side || height > limits.side || width * height > limits.pixels) {
    throw new IntakeError(
      'too-large',
      `The picture says that it is ${width} × ${height} pixels; at most ${count(Math.round(limits.pixels / 1e6), 'megapixel')} and ${count(limits.side, 'pixel')} a side are read.`,
    );
  }
  return header;
}

/** Whether the first bytes are those of a picture that is read as a photograph. */
export function isPhoto(bytes: Uint8Array): boolean {
  return photoFormat(bytes) !== undefined;
}

function readByFormat(bytes: Uint8Array): PhotoHeader {
  switch (photoFormat(bytes)) {
    case 'jpeg':
      return readJpegHeader(bytes);
    case 'png':
      return readPngHeader(bytes);
    case 'tiff':
      return readTiffHeader(bytes);
    case 'webp':
      return readWebpHeader(bytes);
    default:
      throw notAPhoto(bytes);
  }
}

function photoFormat(bytes: Uint8Array): PhotoHeader['format'] | undefined {
  const head = String.fromCharCode(...bytes.subarray(0, 12));
  if (head.startsWith('\xff\xd8\xff')) return 'jpeg';
  if (head.startsWith('\x89PNG\r\n\x1a\n')) return 'png';
  if (/^(?:II[*+]\0|MM\0[*+])/.test(head)) return 'tiff';
  return head.startsWith('RIFF') && head.endsWith('WEBP') ? 'webp' : undefined;
}

function notAPhoto(bytes: Uint8Array): IntakeError {
  const sniffed = sniff(bytes);
  if ('foreign' in sniffed) {
    // What the scan reader advises about meshes does not help a person who meant to give a picture.
    const [is] = sniffed.foreign.split(/[;,] (?:save|mesh|unpack)/);
    return new IntakeError('foreign', `The file is ${is}; ${KINDS}.`);
  }
  return new IntakeError(
    'foreign',
    `The file is ${MESHES[sniffed.format]}, whatever its name says; ${KINDS}.`,
  );
}
