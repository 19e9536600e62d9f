/** What lies beside an OBJ and is no piece: its materials, and the pictures that they lay on its surface. */
export interface Companions {
  readonly materials: readonly File[];
  readonly pictures: readonly File[];
}

const OBJ = /\.obj$/i;
const MATERIALS = /\.mtl$/i;
const PICTURE = /\.(jpe?g|png|tiff?|webp)$/i;
/** Lines that name a picture, which stands last on its line. */
const MAP = /^[ \t]*(?:map_\w+|norm|bump|disp|decal|refl)[ \t]+(.*\S)/gim;
/** Materials are a few lines; of what is longer only so much is read. */
const MOST_BYTES = 1 << 20;

export function isMaterials({ name }: File): boolean {
  return MATERIALS.test(name);
}

/**
 * The companions among files that came together with an OBJ. A picture is one only where materials name it: one that merely
 * has the name of the OBJ may be a photograph of the piece.
 */
export async function companionsOf(files: readonly File[]): Promise<Companions> {
  if (!files.some(({ name }) => OBJ.test(name))) return { materials: [], pictures: [] };
  const materials = files.filter(isMaterials);
  const texts = await Promise.all(materials.map((file) => file.slice(0, MOST_BYTES).text()));
  const named = texts.flatMap((text) => [...text.matchAll(MAP)].map(([, path]) => path.toLowerCase()));
  // Options and folders may stand before a name, and a name may hold spaces: all that is sure is how the line ends.
  const isNamed = (name: string): boolean =>
    named.some(
      (path) => path.endsWith(name) && /^$|[\s/\\]/.test(path.slice(-name.length - 1, -name.length)),
    );
  return {
    materials,
    pictures: files.filter(({ name }) => PICTURE.test(name) && isNamed(name.toLowerCase())),
  };
}

/** What became of companions: the name that stands for them, and a sentence. */
export function companionWords({ materials, pictures }: Companions): [name: string, words: string] {
  const name = materials.length === 1 ? materials[0].name : `${materials.length} files of materials`;
  const held = materials.length === 1 ? 'It holds' : 'They hold';
  const left =
    pictures.length === 0
      ? ''
      : pictures.length === 1
        ? '; the picture named there was left out as well'
        : `; the ${pictures.length} pictures named there were left out as well`;
  return [name, `${held} the colours of an OBJ, which are not measured${left}.`];
}
