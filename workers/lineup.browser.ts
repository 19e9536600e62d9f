import { expose, transfer } from 'comlink';
import { inflateSync, strFromU8 } from 'fflate';
import { type Collection, toCollection } from '../src/drawer/collection.ts';
import type { ComparedPiece } from '../src/drawer/comparedPiece.ts';
import { compareGroups } from '../src/drawer/compareGroups.ts';
import { continuum } from '../src/drawer/continuum.ts';
import {
  compareHand,
  handAgreementCsv,
  handDifferencesCsv,
  handUnmatchedCsv,
} from '../src/drawer/handCompare.ts';
import { readLabels } from '../src/drawer/handLabels.ts';
import { readHandTable } from '../src/drawer/handTable.ts';
import { type LeanPiece, toLean } from '../src/drawer/lean.ts';
import { readForComparing } from '../src/drawer/leanRead.ts';
import { meanOutline } from '../src/drawer/meanOutline.ts';
import { repeatFigure } from '../src/drawer/repeatFigure.ts';
import { leanReadings } from '../src/drawer/repeatLean.ts';
import { repeatSet } from '../src/drawer/repeatSet.ts';
import { agreementCsv, readingsCsv, repeatCsv } from '../src/drawer/repeatTable.ts';
import { shapeSpace } from '../src/drawer/shapeSpace.ts';
import type { SpecimenRecord } from '../src/record/schema.ts';
import type { HandAnswer, LineupApi, Refused } from './lineupMessages.ts';

const pieces = new Map<string, LeanPiece>();
let settled: Collection | undefined;

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

async function hand(file: Blob): Promise<HandAnswer> {
  const table = readHandTable(new Uint8Array(await file.arrayBuffer()));
  return { table, comparison: compareHand(table, [...pieces.values()].map(comparedOf)) };
}

/** A piece without a number goes by its file's name, as on the command line. */
function comparedOf({ key, file, number, values }: LeanPiece): ComparedPiece {
  const known = [...values].map(
    ([id, { value, u }]) => [id, { value, u: Number.isFinite(u) ? u : undefined }] as const,
  );
  return { key, name: file, number, values: new Map(known) };
}

const api: LineupApi = {
  put: (key, name, record) => keep(toLean(record, key, name)),
  putPacked(key, name, { light, heavy }, catalogue) {
    const record: SpecimenRecord = { ...JSON.parse(light), ...JSON.parse(strFromU8(inflateSync(heavy))) };
    keep(toLean({ ...record, catalogue: { ...record.catalogue, ...catalogue } }, key, name));
  },
  drop(keys) {
    for (const key of keys) pieces.delete(key);
    settled = undefined;
  },
  async read(files) {
    const refused: Refused[] = [];
    for (const file of files) {
      try {
        const record = readForComparing(await file.text());
        // Two observers' records of one scan are two; the same file opened again is one.
        keep(toLean(record, `record-${file.name}-${record.id}`));
      } catch (error) {
        refused.push({ file: file.name, why: (error as Error).message });
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
  repeat(question, ids) {
    const { readings, unmarked, keys } = leanReadings(pieces.values(), question);
    const set = repeatSet(readings, ids);
    return {
      ...set,
      readings: set.readings.length,
      keys: set.pieces.map((piece) => keys.get(piece) ?? []),
      unmarked,
    };
  },
  repeatFiles(question, ids) {
    const set = repeatSet(leanReadings(pieces.values(), question).readings);
    return {
      'repeat.csv': repeatCsv(set),
      'repeat-agreement.csv': agreementCsv(set),
      'repeat-readings.csv': readingsCsv(set),
      'repeat.svg': repeatFigure({ ...set, measures: set.measures.filter(({ id }) => ids.includes(id)) }),
    };
  },
  hand,
  labels: async (file) => readLabels(new Uint8Array(await file.arrayBuffer())),
  async handFiles(file) {
    const { comparison } = await hand(file);
    return {
      'compare.csv': handAgreementCsv(comparison),
      'compare-differences.csv': handDifferencesCsv(comparison),
      'compare-unmatched.csv': handUnmatchedCsv(comparison),
    };
  },
  compare: (ids, first, second, by) =>
    compareGroups(
      ids.flatMap((id) => collection().measures.find((measure) => measure.id === id) ?? []),
      first,
      second,
      by,
    ),
};

expose(api);
