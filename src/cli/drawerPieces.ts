import { readdir, readFile, stat } from 'node:fs/promises';
import { join, relative, resolve, sep } from 'node:path';
import { groupPhotos } from '../drawer/groupPhotos.ts';
import { hasEnding, PHOTO_ENDINGS, SCAN_ENDINGS } from '../intake/fileEndings.ts';
import { type Catalogue, RecordError } from '../record/schema.ts';
import type { ViewName } from '../trace/types.ts';
import { readList } from './drawerList.ts';
import type { SettingOptions } from './options.ts';
import { outputNames } from './outputFiles.ts';
import { passedOverLines } from './passedOver.ts';
import { texturesOf } from './textures.ts';

/** One piece of a drawer as it was found. */
export interface FoundPiece {
  /** Where its scan or photograph lies (of several that of Face A), and its path as it is listed, with `/` between folders. */
  readonly path: string;
  readonly listed: string;
  /** Further photographs of it. */
  readonly views?: readonly { readonly view: ViewName; readonly path: string; readonly listed: string }[];
  /** What its row of a list tells of it, over the options of the whole. */
  readonly options: SettingOptions;
  readonly catalogue: Catalogue;
  /** Why it is not measured at all: a sentence. */
  readonly fault?: string;
}

export interface ListedPiece extends FoundPiece {
  /** Name of its files among the results. */
  readonly name: string;
}

export interface Listing {
  /** In the order of their paths, which is the same on every machine. */
  readonly pieces: readonly ListedPiece[];
  /** Files of the folder that are neither scans nor photographs, and pictures that scans name as their textures. */
  readonly passedOver: readonly string[];
  readonly textures: readonly string[];
}

/** How a folder is read. */
export interface FolderOptions {
  /** A folder that is not looked into. */
  readonly leaveOut: string;
  /** Photographs that show one piece by their names are put together. */
  readonly views: boolean;
}

const OTHERWISE =
  'Name them otherwise, list the views of each piece in a CSV file, or take each photograph for a piece of its own with --no-views.';

/**
 * The pieces of a folder and its folders, or those that a CSV list names. Throws a RecordError of one plain sentence.
 */
export async function listPieces(where: string, folder: FolderOptions): Promise<Listing> {
  const entry = await stat(where).catch(() => undefined);
  if (entry === undefined) throw new RecordError('drawer-list', `${where}: there is no such folder or list.`);
  const found = entry.isDirectory()
    ? await inFolder(where, folder)
    : { pieces: readList(await readFile(where), where), passedOver: [], textures: [] };
  if (found.pieces.length === 0) {
    const none = `${where}: there are no scans (PLY, STL, OBJ, glTF or GLB) and no photographs (JPEG, PNG, TIFF or WebP) in it.`;
    const lines = passedOverLines(found.passedOver, found.textures);
    throw new RecordError('drawer-list', [none, ...lines].join(' '));
  }
  const sorted = found.pieces.toSorted((a, b) => (a.listed < b.listed ? -1 : a.listed > b.listed ? 1 : 0));
  const names = outputNames(sorted.map(({ listed }) => listed.replaceAll('/', '-')));
  return { ...found, pieces: sorted.map((piece, k) => ({ ...piece, name: names[k] })) };
}

async function inFolder(
  folder: string,
  { leaveOut, views }: FolderOptions,
): Promise<Omit<Listing, 'pieces'> & { readonly pieces: readonly FoundPiece[] }> {
  const files = (await filesUnder(folder, resolve(leaveOut))).toSorted();
  const ending = (endings: readonly string[]): string[] => files.filter((file) => hasEnding(file, endings));
  const [scans, pictures] = [ending(SCAN_ENDINGS), ending(PHOTO_ENDINGS)];
  const known = new Set([...scans, ...pictures]);
  const textures = pictures.length === 0 ? new Set<string>() : await texturesOf(folder, files);
  const isTexture = (file: string): boolean => textures.has(file.toLowerCase());
  const photos = pictures.filter((file) => !isTexture(file));
  const { pieces, refused } = views
    ? groupPhotos(photos)
    : { pieces: photos.map((file) => ({ file, views: [] })), refused: [] };
  const found = (listed: string): FoundPiece => {
    return { path: join(folder, listed), listed, options: {}, catalogue: {} };
  };
  return {
    pieces: [
      ...scans.map(found),
      ...pieces.map(({ file, views }): FoundPiece => {
        const further = views.map(({ view, file }) => ({ view, listed: file, path: join(folder, file) }));
        return { ...found(file), ...(further.length === 0 ? {} : { views: further }) };
      }),
      ...refused.map(({ files: [first], why }): FoundPiece => {
        return { ...found(first), fault: `${why} ${OTHERWISE}` };
      }),
    ],
    passedOver: files.filter((file) => !known.has(file)),
    textures: pictures.filter(isTexture),
  };
}

/** Paths from `folder`, with `/`; hidden files and folders are the system's. */
async function filesUnder(folder: string, leaveOut: string): Promise<string[]> {
  const found: string[] = [];
  const walk = async (here: string): Promise<void> => {
    for (const entry of await readdir(here, { withFileTypes: true })) {
      const path = join(here, entry.name);
      if (entry.name.startsWith('.') || resolve(path) === leaveOut) continue;
      if (entry.isDirectory()) await walk(path);
      else found.push(relative(folder, path).split(sep).join('/'));
    }
  };
  await walk(folder);
  return found;
}
