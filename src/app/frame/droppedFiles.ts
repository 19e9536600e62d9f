import { isKnownFile } from '../state/sortFiles.ts';

/** What was dropped. */
export interface Dropped {
  readonly files: readonly File[];
  /** Of folders of which something is left out: why, one sentence. */
  readonly refused: readonly { readonly name: string; readonly why: string }[];
}

/**
 * The files of a drop, those in folders as well, however deep. Of a folder only what has the ending of a scan, a
 * photograph or a file of this program is taken: beside them lie textures, notes and what the system keeps there.
 */
export async function droppedFiles({ items, files }: DataTransfer): Promise<Dropped> {
  // What was dropped can be asked for only until the event is over.
  const entries = [...items].flatMap((item) => item.webkitGetAsEntry() ?? []);
  const single = [...files];
  if (!entries.some((entry) => entry.isDirectory)) return { files: single, refused: [] };
  const taken: File[] = [];
  const refused: { name: string; why: string }[] = [];
  for (const entry of entries) {
    const { name } = entry;
    try {
      const inside = await filesIn(entry);
      const known = entry.isDirectory ? inside.filter((file) => isKnownFile(file.name)) : inside;
      taken.push(...known);
      if (known.length < inside.length || inside.length === 0) {
        refused.push({ name, why: leftOutWords(known.length, inside.length - known.length) });
      }
    } catch {
      refused.push({ name, why: 'It could not be read. Is it still there, and may this browser read it?' });
    }
  }
  return { files: taken, refused };
}

function leftOutWords(known: number, left: number): string {
  if (known === 0) return 'This folder holds no scan and no photograph.';
  return left === 1
    ? 'One file of this folder is neither scan nor photograph, and was left out.'
    : `${left} files of this folder are neither scans nor photographs, and were left out.`;
}

async function filesIn(entry: FileSystemEntry): Promise<readonly File[]> {
  if (entry.isFile) {
    const file = new Promise<File>((resolve, reject) => (entry as FileSystemFileEntry).file(resolve, reject));
    return [await file];
  }
  const reader = (entry as FileSystemDirectoryEntry).createReader();
  const found: FileSystemEntry[] = [];
  for (;;) {
    // Some at a time; none at the end.
    const some = await new Promise<FileSystemEntry[]>((resolve, reject) =>
      reader.readEntries(resolve, reject),
    );
    if (some.length === 0) break;
    found.push(...some);
  }
  const shown = found.filter(({ name }) => !name.startsWith('.'));
  const inOrder = shown.toSorted((a, b) => a.name.localeCompare(b.name, 'en', { numeric: true }));
  const files: File[] = [];
  for (const one of inOrder) files.push(...(await filesIn(one)));
  return files;
}
