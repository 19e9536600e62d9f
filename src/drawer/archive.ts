import { type UnzipFileInfo, unzipSync, Zip, ZipDeflate } from 'fflate';
import { clipped } from '../record/shown.ts';

/** One file of an archive. */
export interface ArchiveFile {
  /** Folders by `/`; never absolute, never upward. */
  readonly path: string;
  readonly bytes: Uint8Array;
}

interface Manifest {
  readonly format: typeof ARCHIVE_FORMAT;
  readonly version: number;
  readonly files: readonly { readonly path: string; readonly bytes: number; readonly sha256: string }[];
}

export const ARCHIVE_FORMAT = 'knapgauge-drawer';
export const ARCHIVE_VERSION = 1;
const MANIFEST = 'manifest.json';
/** Files in one archive, and bytes that they may unpack to: more is no drawer, or one that no memory holds. */
export const MOST_FILES = 100_000;
export const MOST_BYTES = 2 ** 31;
/** What ZIP makes of scans is a tenth at best; an archive that unpacks to more times its size is a bomb. */
const MOST_TIMES = 100;
const ANY_BYTES = 2 ** 26;
/** No time is written, so that the same drawer gives the same bytes. */
const NO_TIME = new Date(1980, 0, 1);

/** An archive that can't be read. `message` is one plain sentence; nothing of a refused archive is used. */
export class ArchiveError extends Error {
  override readonly name = 'ArchiveError';
  readonly code: 'archive-damaged' | 'archive-format' | 'archive-newer' | 'archive-size';
  constructor(code: ArchiveError['code'], message: string) {
    super(message);
    this.code = code;
  }
}

/**
 * Writes a ZIP archive file by file, with a manifest of their sizes and SHA-256 sums at its end. `take` gets the archive piece
 * by piece as it comes, so that no more than one file is held at a time.
 */
export function archiveWriter(take: (bytes: Uint8Array) => void) {
  const listed: Manifest['files'][number][] = [];
  const zip = new Zip((error, bytes) => {
    if (error !== null) throw error;
    take(bytes);
  });
  const write = (path: string, bytes: Uint8Array): void => {
    const file = new ZipDeflate(path, { level: 6 });
    file.mtime = NO_TIME;
    zip.add(file);
    file.push(bytes, true);
  };
  return {
    async add({ path, bytes }: ArchiveFile): Promise<void> {
      listed.push({ path, bytes: bytes.length, sha256: await sha256(bytes) });
      write(path, bytes);
    },
    finish(): void {
      const manifest: Manifest = { format: ARCHIVE_FORMAT, version: ARCHIVE_VERSION, files: listed };
      write(MANIFEST, new TextEncoder().encode(`${JSON.stringify(manifest, null, 2)}\n`));
      zip.end();
    },
  };
}

/** A whole archive at once. */
export async function packArchive(files: readonly ArchiveFile[]): Promise<Uint8Array> {
  const parts: Uint8Array[] = [];
  const writer = archiveWriter((bytes) => parts.push(bytes));
  for (const file of files) await writer.add(file);
  writer.finish();
  const whole = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

/**
 * The files of an archive, each as its manifest says to the last bit. Sizes are looked at before anything is unpacked; what
 * the manifest does not list is not unpacked at all.
 * Throws an ArchiveError.
 */
export async function unpackArchive(archive: Uint8Array): Promise<readonly ArchiveFile[]> {
  const manifest = readManifest(archive);
  const wanted = new Map(manifest.files.map((file) => [file.path, file]));
  const found = unzip(archive, ({ name, originalSize }) => wanted.get(name)?.bytes === originalSize);
  const files: ArchiveFile[] = [];
  for (const { path, bytes: size, sha256: sum } of wanted.values()) {
    const bytes = found[path];
    if (bytes === undefined || bytes.length !== size || (await sha256(bytes)) !== sum) {
      throw new ArchiveError(
        'archive-damaged',
        `The archive is damaged: ${clipped(path, 120)} is not what its manifest says.`,
      );
    }
    files.push({ path, bytes });
  }
  return files;
}

function readManifest(archive: Uint8Array): Manifest {
  const most = Math.min(MOST_BYTES, ANY_BYTES + MOST_TIMES * archive.length);
  let entries = 0;
  let total = 0;
  const { [MANIFEST]: bytes } = unzip(archive, ({ name, originalSize }) => {
    entries += 1;
    total += originalSize;
    if (entries > MOST_FILES || total > most) {
      throw new ArchiveError(
        'archive-size',
        `The archive would unpack to more than ${Math.round(most / 2 ** 20)} MB or ${MOST_FILES} files, which no drawer of its size does.`,
      );
    }
    return name === MANIFEST && originalSize < 2 ** 26;
  });
  if (bytes === undefined) {
    throw new ArchiveError('archive-format', 'This is not a drawer: the archive has no manifest.json.');
  }
  let value: Partial<Manifest> | null;
  try {
    value = JSON.parse(new TextDecoder().decode(bytes));
  } catch {
    throw new ArchiveError('archive-damaged', 'The archive is damaged: its manifest.json is not JSON.');
  }
  if (value?.format !== ARCHIVE_FORMAT || typeof value.version !== 'number') {
    throw new ArchiveError('archive-format', `This is not a drawer: "format" is not "${ARCHIVE_FORMAT}".`);
  }
  if (value.version > ARCHIVE_VERSION) {
    throw new ArchiveError(
      'archive-newer',
      `The archive has version ${value.version}, and this program reads up to ${ARCHIVE_VERSION}: open it with a newer one.`,
    );
  }
  if (!Array.isArray(value.files) || !value.files.every(isListed)) {
    throw new ArchiveError(
      'archive-damaged',
      'The archive is damaged: its manifest lists files in no known way.',
    );
  }
  return value as Manifest;
}

function isListed(file: unknown): boolean {
  if (typeof file !== 'object' || file === null) return false;
  const { path, bytes, sha256: sum } = file as Record<string, unknown>;
  return (
    typeof path === 'string' &&
    isInside(path) &&
    Number.isSafeInteger(bytes) &&
    (bytes as number) >= 0 &&
    typeof sum === 'string'
  );
}

/** A path that stays inside the folder it is unpacked into. */
function isInside(path: string): boolean {
  return (
    path !== '' &&
    !/^[/\\]|^[a-z]:|\\/i.test(path) &&
    path.split('/').every((part) => part !== '' && part !== '.' && part !== '..' && part !== '__proto__')
  );
}

function unzip(archive: Uint8Array, filter: (file: UnzipFileInfo) => boolean): Record<string, Uint8Array> {
  try {
    return unzipSync(archive, { filter });
  } catch (error) {
    if (error instanceof ArchiveError) throw error;
    throw new ArchiveError(
      'archive-damaged',
      'This is no archive that can be read: it is damaged, cut short or not a ZIP file.',
    );
  }
}

async function sha256(bytes: Uint8Array): Promise<string> {
  const digest = await globalThis.crypto.subtle.digest('SHA-256', bytes as Uint8Array<ArrayBuffer>);
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('');
}
