import { hasEnding, PHOTO_ENDINGS } from '../../intake/fileEndings.ts';
import { TEXTURE_HEADER, texturesNamed } from '../../intake/textures.ts';

/** What lies beside scans and is no piece: the materials of an OBJ, and pictures that are laid on surfaces. */
export interface Companions {
  readonly materials: readonly File[];
  readonly pictures: readonly File[];
}

/** Materials and glTF documents are read up to here. */
const MOST_BYTES = 1 << 26;

/** Pictures came together with something that may name them. */
export function mayHaveCompanions(files: readonly File[]): boolean {
  const has = (endings: readonly string[]): boolean => files.some(({ name }) => hasEnding(name, endings));
  return has(['.mtl']) || (has(['.ply', '.gltf']) && has(PHOTO_ENDINGS));
}

/**
 * The companions among files that came together. A picture is one only where a scan or materials name it: one that merely
 * has the name of a scan may be a photograph of the piece. Materials without an OBJ are left to be told for what they are.
 */
export async function companionsOf(files: readonly File[]): Promise<Companions> {
  const isFollowed = files.some(({ name }) => hasEnding(name, ['.obj']));
  const materials = isFollowed ? files.filter(({ name }) => hasEnding(name, ['.mtl'])) : [];
  const named = await Promise.all(
    files.map((file) =>
      texturesNamed(file.name, (isHeader) => file.slice(0, isHeader ? TEXTURE_HEADER : MOST_BYTES).text()),
    ),
  );
  const pictures = new Set(named.flat().map((path) => path.replace(/^.*[/\\]/, '').toLowerCase()));
  const isNamed = ({ name }: File): boolean =>
    hasEnding(name, PHOTO_ENDINGS) && pictures.has(name.toLowerCase());
  return { materials, pictures: files.filter(isNamed) };
}

/** What became of companions: the name that stands for them, and a sentence. */
export function companionWords({ materials, pictures }: Companions): [name: string, words: string] {
  const all = [...materials, ...pictures];
  const name = all.length === 1 ? all[0].name : `${all[0].name} and ${all.length - 1} more`;
  const were = all.length === 1 ? 'It holds' : 'They hold';
  return [
    name,
    `${were} the colours of a scan’s surface, which are not measured, and ${all.length === 1 ? 'was' : 'were'} left out.`,
  ];
}
