import type { Collection } from '../src/drawer/collection.ts';
import type { Comparison } from '../src/drawer/compareGroups.ts';
import type { ContinuumPlaces } from '../src/drawer/continuum.ts';
import type { HandComparison } from '../src/drawer/handCompare.ts';
import type { Labels } from '../src/drawer/handLabels.ts';
import type { HandTable } from '../src/drawer/handTable.ts';
import type { MeanOutline, OutlineSize } from '../src/drawer/meanOutline.ts';
import type { RepeatQuestion } from '../src/drawer/repeatLean.ts';
import type { RepeatSet } from '../src/drawer/repeatTypes.ts';
import type { ShapeSpace } from '../src/drawer/shapeSpace.ts';
import type { Correction } from '../src/drawer/statsCorrection.ts';
import type { Catalogue, SpecimenRecord } from '../src/record/schema.ts';

/** A file that could not be taken, and why. */
export interface Refused {
  readonly file: string;
  readonly why: string;
}

/** A repeat set as it is shown: its readings are counted, and every piece names the keys behind it. */
export interface RepeatAnswer extends Omit<RepeatSet, 'readings'> {
  readonly readings: number;
  readonly keys: readonly (readonly string[])[];
  /** Names of the pieces that nothing tells apart from others. */
  readonly unmarked: readonly string[];
}

/** The files of a repeat set, as `knapgauge repeat` writes them. */
export interface RepeatFiles {
  readonly 'repeat.csv': string;
  readonly 'repeat-agreement.csv': string;
  readonly 'repeat-readings.csv': string;
  readonly 'repeat.svg': string;
}

/** A table of hand measurements laid beside the collection. */
export interface HandAnswer {
  readonly table: HandTable;
  readonly comparison: HandComparison;
}

/** The files of such a comparison, as `knapgauge compare` writes them. */
export interface HandFiles {
  readonly 'compare.csv': string;
  readonly 'compare-differences.csv': string;
  readonly 'compare-unmatched.csv': string;
}

/** A record as the page keeps it: its small parts as JSON, with null for each heavy one; the heavy ones as deflated JSON. */
export interface RecordParts {
  readonly light: string;
  readonly heavy: Uint8Array;
}

/** What the page asks of the worker that compares pieces. Pieces are named by their place in the collection. */
export interface LineupApi {
  /** Takes the record of a piece, in place of an earlier one with the same key. */
  put(key: string, name: string, record: SpecimenRecord): void;
  /** The same of a record that the page need not unpack; `catalogue` is what was written of the piece since. */
  putPacked(key: string, name: string, record: RecordParts, catalogue: Catalogue): void;
  drop(keys: readonly string[]): void;
  /** Takes records from files. Gives those that are no records. */
  read(files: readonly File[]): Promise<readonly Refused[]>;
  collection(): Collection;
  /** Every piece's place in the measures of the continuum. */
  ranks(): ContinuumPlaces[];
  means(groups: readonly Int32Array[], size: OutlineSize): MeanOutline[];
  shapes(which: Int32Array): ShapeSpace | null;
  /** The repeat set in these measures. */
  repeat(question: RepeatQuestion, ids: readonly string[]): RepeatAnswer;
  /** Its files: every measure in the tables, these measures in the figure. */
  repeatFiles(question: RepeatQuestion, ids: readonly string[]): RepeatFiles;
  /** Throws a HandTableError of one plain sentence. */
  hand(file: Blob): Promise<HandAnswer>;
  /** Columns of the table that tell groups. Throws as `hand` does. */
  labels(file: Blob): Promise<readonly Labels[]>;
  handFiles(file: Blob): Promise<HandFiles>;
  compare(ids: readonly string[], first: Int32Array, second: Int32Array, by: Correction): Comparison[];
}
