import { randomUUID } from 'node:crypto';
import { realpath, rename, rm, writeFile } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';

/** Characters that a file name may not hold on one system or another, and control characters. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what must go
const UNSAFE = /[\u0000-\u001f\u007f-\u009f\u2028\u2029<>:"/\\|?*]/g;
const LONGEST_STEM = 120;

/**
 * A name for the outputs of each input: its file name without the last ending, made safe; a second one alike gets
 * `-2`, a third `-3`, in the order given. Names that differ in case alone count as alike.
 */
export function outputNames(paths: readonly string[]): string[] {
  const taken = new Set<string>();
  return paths.map((path) => {
    const stem = safeStem(basename(path).replace(/(?<=.)\.[^.]*$/, ''));
    let name = stem;
    for (let count = 2; taken.has(name.toLowerCase()); count++) name = `${stem}-${count}`;
    taken.add(name.toLowerCase());
    return name;
  });
}

function safeStem(stem: string): string {
  const safe = stem
    .replace(UNSAFE, '_')
    .replace(/^\.+/, '_')
    .replace(/[. ]+$/, '');
  return Array.from(safe).slice(0, LONGEST_STEM).join('') || 'scan';
}

/** The real paths of files that must not be written over. */
export async function realPaths(paths: readonly string[]): Promise<Set<string>> {
  return new Set(await Promise.all(paths.map((path) => realpath(path).catch(() => path))));
}

/** Where a path lies once links in its folder, and the file's own if it is one, are followed. */
export async function realTarget(path: string): Promise<string> {
  const folder = await realpath(dirname(path));
  return realpath(path).catch(() => join(folder, basename(path)));
}

/** Writes beside the place and moves it in, so that no reader and no crash meets half a file. */
export async function writeAtomically(path: string, text: string | Uint8Array): Promise<void> {
  const aside = join(dirname(path), `.${randomUUID()}.part`);
  try {
    await writeFile(aside, text, { flag: 'wx' });
    await rename(aside, path);
  } catch (error) {
    await rm(aside, { force: true });
    throw error;
  }
}
