import { open, stat } from 'node:fs/promises';
import { join, posix } from 'node:path';
import { TEXTURE_HEADER, texturesNamed } from '../intake/textures.ts';

/** Materials and glTF documents of this many bytes are read, larger ones are none. */
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
  return texturesNamed(path, (isHeader) => textOf(path, isHeader ? TEXTURE_HEADER : LARGEST));
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
