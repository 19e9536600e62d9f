import { hasEnding } from './fileEndings.ts';

/** A PLY names its texture within so many bytes of its beginning. */
export const TEXTURE_HEADER = 4096;

/**
 * Pictures that a file names as the textures of a surface, by the ending of its name; of other files none. Paths are as they
 * stand there. `read` gives its text, or only that of its beginning.
 */
export async function texturesNamed(
  fileName: string,
  read: (isHeader: boolean) => Promise<string>,
): Promise<readonly string[]> {
  if (hasEnding(fileName, ['.mtl'])) return texturesInMaterial(await read(false));
  if (hasEnding(fileName, ['.ply'])) return texturesInPly(await read(true));
  if (hasEnding(fileName, ['.gltf'])) return texturesInGltf(await read(false));
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
