import { type Remote, wrap } from 'comlink';
import type { ArchiveApi, ArchivedBlob } from '../../../workers/archiveMessages.ts';
import { CATALOGUE_CHOICES, type Catalogue } from '../../record/schema.ts';
import { type AllSettings, readSettings } from '../../record/settings.ts';
import { writeRecord } from '../../record/write.ts';
import type { HandReadings } from '../state/handReadings.ts';
import { furtherInUse, type Piece, type Restored } from '../state/pieces.ts';
import type { SettingsHistory } from '../state/settingsHistory.ts';
import type { FurtherPhoto } from '../state/views.ts';

/** What is written of a piece beside its scan. */
interface ArchivedPiece {
  readonly title: string;
  readonly fileName: string;
  readonly history: SettingsHistory;
  readonly catalogue: Catalogue;
  readonly hand: HandReadings;
  /** Its further photographs, which lie beside it. */
  readonly further: readonly { readonly id: string; readonly fileName: string }[];
}

const PIECE = 'piece.json';

/** The whole drawer as one ZIP archive: of each piece its scan or photographs, what was decided and written of it, and its record. */
export async function exportDrawer(pieces: readonly Piece[], withFindSpots: boolean): Promise<Blob> {
  return withWorker(async (archive) => {
    for (const [k, piece] of pieces.entries()) {
      for await (const file of filesOf(piece, k, withFindSpots)) await archive.add(file);
    }
    return archive.finish();
  });
}

/** The files of one piece, each made when it is asked for. */
async function* filesOf(piece: Piece, k: number, withFindSpots: boolean): AsyncGenerator<ArchivedBlob> {
  const folder = `pieces/${String(k + 1).padStart(4, '0')}`;
  const { findSpot, ...shared } = piece.catalogue;
  const catalogue = withFindSpots && findSpot !== undefined ? { ...shared, findSpot } : shared;
  const { title, fileName, history, hand } = piece;
  const photos = furtherInUse(piece);
  const further = photos.map((photo) => ({ id: photo.id, fileName: photo.fileName }));
  const archived: ArchivedPiece = { title, fileName, history, catalogue, hand, further };
  const text = (path: string, words: string): ArchivedBlob => ({
    path: `${folder}/${path}`,
    blob: new Blob([words]),
  });
  yield text(PIECE, `${JSON.stringify(archived, null, 2)}\n`);
  yield { path: `${folder}/scan/${fileName.replaceAll(/[\\/]/g, '_')}`, blob: await piece.open() };
  for (const photo of photos) yield { path: `${folder}/photos/${photo.id}`, blob: await photo.open() };
  if (piece.seen !== undefined) {
    yield text('record.specimen.json', writeRecord({ ...piece.seen.record, catalogue }));
  }
}

/** Pieces of an archive, as new ones for the drawer. Throws an error of one plain sentence; then nothing is taken in. */
export async function importDrawer(
  archive: Blob,
  firstOrder: number,
): Promise<readonly (Restored & { file: Blob })[]> {
  const files = await withWorker((worker) => worker.unpack(archive));
  const pieces: (Restored & { file: Blob })[] = [];
  for (const { path, blob } of files) {
    const folder = /^(pieces\/[^/]+)\/piece\.json$/.exec(path)?.[1];
    if (folder === undefined) continue;
    const scan = files.find((file) => file.path.startsWith(`${folder}/scan/`));
    if (scan === undefined) throw new Error(`The archive is damaged: ${folder} has no scan.`);
    const { history, catalogue, further, ...words } = readPiece(await blob.text(), path);
    const photos = further.map(({ id, fileName }): FurtherPhoto => {
      const photo = files.find((file) => file.path === `${folder}/photos/${id}`)?.blob;
      if (photo === undefined) throw new Error(`The archive is damaged: ${folder} lacks ${fileName}.`);
      return { id, fileName, file: photo, open: async () => photo };
    });
    pieces.push({
      ...words,
      id: crypto.randomUUID(),
      number: catalogue.number ?? '',
      demo: false,
      removed: false,
      order: firstOrder + pieces.length,
      history,
      catalogue,
      further: photos,
      file: scan.blob,
      open: async () => scan.blob,
    });
  }
  if (pieces.length === 0) throw new Error('There are no pieces in this archive.');
  return pieces;
}

function readPiece(text: string, path: string): ArchivedPiece {
  try {
    const value = JSON.parse(text) as ArchivedPiece;
    const settings = (given: unknown): AllSettings => readSettings(JSON.stringify(given));
    const { past, present, future } = value.history;
    return {
      title: String(value.title).slice(0, 500),
      fileName: String(value.fileName).slice(0, 255),
      history: { past: past.map(settings), present: settings(present), future: future.map(settings) },
      catalogue: readCatalogue(value.catalogue),
      hand: readHand(value.hand),
      further: (value.further ?? []).map(({ id, fileName }) => ({
        id: readName(id),
        fileName: String(fileName).slice(0, 255),
      })),
    };
  } catch (error) {
    throw new Error(`The archive is damaged: ${path} is not readable (${(error as Error).message}).`);
  }
}

function readName(id: unknown): string {
  if (typeof id === 'string' && /^[\w-]{1,64}$/.test(id)) return id;
  throw new Error('a photograph has no name');
}

const WORDS = ['number', 'collection', 'findSpot', 'material', 'observer', 'occasion', 'notes'] as const;
const SHARES = ['cortexA', 'cortexB'] as const;

/** Known fields of known kinds; whatever else an archive says is left out. */
function readCatalogue(value: Catalogue): Catalogue {
  const given = new Map<string, unknown>(Object.entries(value));
  const kept: [string, unknown][] = [
    ...WORDS.filter((key) => typeof given.get(key) === 'string'),
    ...SHARES.filter((key) => {
      const share = given.get(key);
      return typeof share === 'number' && share >= 0 && share <= 100;
    }),
    ...Object.entries(CATALOGUE_CHOICES)
      .filter(([key, words]) => (words as readonly unknown[]).includes(given.get(key)))
      .map(([key]) => key),
  ].map((key) => [key, given.get(key)]);
  return Object.fromEntries(kept);
}

function readHand(value: HandReadings): HandReadings {
  const read = Object.entries(value).filter(
    ([key, mm]) => ['length', 'width', 'thickness'].includes(key) && Number.isFinite(mm) && mm > 0,
  );
  return Object.fromEntries(read);
}

async function withWorker<T>(ask: (archive: Remote<ArchiveApi>) => Promise<T>): Promise<T> {
  const worker = new Worker(new URL('../../../workers/archive.browser.ts', import.meta.url), {
    type: 'module',
    name: 'archive',
  });
  try {
    return await ask(wrap<ArchiveApi>(worker));
  } finally {
    worker.terminate();
  }
}
