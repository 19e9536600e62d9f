import { readdir, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { PIECES } from './drawerResults.ts';

export const RECORD_ENDING = '.specimen.json';

/**
 * Paths of records: files as given; of a folder all its records by name, or, where it has none, those of the drawer that was
 * measured into it. Throws in a sentence for a folder without records.
 */
export async function recordFiles(paths: readonly string[]): Promise<string[]> {
  const files: string[] = [];
  for (const path of paths) {
    if (!(await isFolder(path))) files.push(path);
    else {
      const own = await recordsIn(path);
      const pieces = join(path, PIECES);
      const inside = own.length > 0 || !(await isFolder(pieces)) ? own : await recordsIn(pieces);
      if (inside.length === 0)
        throw new Error(`${path} has no records (files that end in ${RECORD_ENDING}).`);
      files.push(...inside);
    }
  }
  return [...new Set(files)];
}

async function recordsIn(folder: string): Promise<string[]> {
  const names = (await readdir(folder)).filter((name) => name.endsWith(RECORD_ENDING)).sort();
  return names.map((name) => join(folder, name));
}

function isFolder(path: string): Promise<boolean> {
  return stat(path).then(
    (entry) => entry.isDirectory(),
    () => false,
  );
}
