import { expose, transfer } from 'comlink';
import { type Collection, toCollection } from '../src/drawer/collection.ts';
import { compareGroups } from '../src/drawer/compareGroups.ts';
import { continuum } from '../src/drawer/continuum.ts';
import { type LeanPiece, toLean } from '../src/drawer/lean.ts';
import { readForComparing } from '../src/drawer/leanRead.ts';
import { meanOutline } from '../src/drawer/meanOutline.ts';
import { shapeSpace } from '../src/drawer/shapeSpace.ts';
import type { LineupApi, Refused } from './lineupMessages.ts';

const pieces = new Map<string, LeanPiece>();
let settled: Collection | undefined;
/** Progress is told at most this often, ms. */
const TELL_EVERY = 100;

function collection(): Collection {
  settled ??= toCollection([...pieces.values()]);
  return settled;
}

function keep(piece: LeanPiece): void {
  pieces.set(piece.key, piece);
  settled = undefined;
}

function buffersOf({ measures, rings, sizes, fourier }: Collection): ArrayBuffer[] {
  const arrays = [rings, sizes, fourier, ...measures.flatMap(({ value, u }) => [value, u])];
  return arrays.map(({ buffer }) => buffer as ArrayBuffer);
}

const api: LineupApi = {
  put: (key, name, record) => keep(toLean(record, key, name)),
  drop(keys) {
    for (const key of keys) pieces.delete(key);
    settled = undefined;
  },
  async read(files, told) {
    const refused: Refused[] = [];
    let last = performance.now();
    for (const [i, file] of files.entries()) {
      try {
        const record = readForComparing(await file.text());
        // Two observers' records of one scan are two; the same file opened again is one.
        keep(toLean(record, `record-${file.name}-${record.id}`));
      } catch (error) {
        refused.push({ file: file.name, why: (error as Error).message });
      }
      if (performance.now() - last > TELL_EVERY) {
        last = performance.now();
        told(i + 1);
      }
    }
    return refused;
  },
  // A copy is handed over: the page takes it in without reading it through, and the worker keeps its own.
  collection() {
    const copy = structuredClone(collection());
    return transfer(copy, buffersOf(copy));
  },
  ranks: () =>
    continuum(
      collection(),
      collection().keys.map((_, i) => i),
    ),
  means: (groups, size) => groups.map((which) => meanOutline(collection(), which, size)),
  shapes: (which) => shapeSpace(collection().fourier, which),
  compare: (ids, first, second, by) =>
    compareGroups(
      ids.flatMap((id) => collection().measures.find((measure) => measure.id === id) ?? []),
      first,
      second,
      by,
    ),
};

expose(api);
