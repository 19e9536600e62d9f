import { open, stat } from 'node:fs/promises';
import { join, posix } from 'node:path';
import { hasEnding } from '../intake/fileEndings.ts';

/** A PLY names its texture in its header; materials and glTF documents of this many bytes are read, larger ones are none. */
const HEADER = 4096;
const LARGEST = 1 << 26;

/**
 * Pictures that scans of a folder name as the textures of their surfaces: such a picture shows a surface unrolled, and is no
 * photograph of a piece. `files` are paths from the folder, with `/`; so are those that come back, in small letters, for names that differ in
 * case alone are one on many disks.
 */
export async function texturesOf(folder: string, files: readonly string[]): Promise<ReadonlySet<string>> {
  const found = new Set<string>();
  for (const file of files) {
    for (const name of await namedIn(join(folder, file))) {
      found.add(
        posix.normalize(posix.join(posix.dirname(file), name.trim().replaceAll('\\', '/'))).toLowerCase(),
      );
    }
  }
  return found;
}

async function namedIn(path: string): Promise<readonly string[]> {
  if (hasEnding(path, ['.mtl'])) return texturesInMaterial(await textOf(path, LARGEST));
  if (hasEnding(path, ['.ply'])) return texturesInPly(await textOf(path, HEADER));
  if (hasEnding(path, ['.gltf'])) return texturesInGltf(await textOf(path, LARGEST));
  return [];
}

/** Wavefront MTL: `map_Kd`, `map_bump`, `bump`, `disp`, `decal`, `norm` and `refl`, options first, the file last. */
export function texturesInMaterial(text: string): readonly string[] {
  return [...text.matchAll(/^[ \t]*(?:map_\w+|bump|disp|decal|norm|refl)[ \t]+(.+?)[ \t]*$/gim)].flatMap(
    ([, rest]) => {
      // A name may hold spaces, and so may what stands before it: whatever could be the name counts.
      const words = rest.split(/[ \t]+/);
      return words.map((_, k) => words.slice(k).join(' '));
    },
  );
}

/** `comment TextureFile name`, as those write it who give PLY a texture. */
export function texturesInPly(text: string): readonly string[] {
  const header = text.split(/^end_header/m, 1)[0];
  return [...header.matchAll(/^comment[ \t]+TextureFile[ \t]+(.+?)[ \t]*$/gim)].map(([, name]) => name);
}

/** The images of a glTF document that lie beside it. */
export function texturesInGltf(text: string): readonly string[] {
  try {
    const { images } = JSON.parse(text) as { images?: unknown };
    if (!Array.isArray(images)) return [];
    return images.flatMap((image: unknown) => {
      const uri = (image as { uri?: unknown } | null)?.uri;
      return typeof uri === 'string' && !/^data:/i.test(uri) ? [decodeURIComponent(uri)] : [];
    });
  } catch {
    // What is wrong with it is said when it is measured.
    return [];
  }
}

/** At most so many bytes of a file; nothing of one that can't be read, or of a larger one that would have to be read whole. */
async function textOf(path: string, bytes: number): Promise<string> {
  const entry = await stat(path).catch(() => undefined);
  if (entry === undefined || !entry.isFile() || (bytes === LARGEST && entry.size > bytes)) return '';
  const file = await open(path).catch(() => undefined);
  if (file === undefined) return '';
  try {
    const buffer = Buffer.alloc(Math.min(bytes, entry.size));
    const { bytesRead } = await file.read(buffer, 0, buffer.length, 0);
    return buffer.toString('utf8', 0, bytesRead);
  } finally {
    await file.close();
  }
}
