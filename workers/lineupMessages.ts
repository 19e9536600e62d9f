import type { Collection } from '../src/drawer/collection.ts';
import type { Comparison } from '../src/drawer/compareGroups.ts';
import type { ContinuumPlaces } from '../src/drawer/continuum.ts';
import type { MeanOutline, OutlineSize } from '../src/drawer/meanOutline.ts';
import type { ShapeSpace } from '../src/drawer/shapeSpace.ts';
import type { Correction } from '../src/drawer/statsCorrection.ts';
import type { SpecimenRecord } from '../src/record/schema.ts';

/** A file that could not be taken, and why. */
export interface Refused {
  readonly file: string;
  readonly why: string;
}

/** What the page asks of the worker that compares pieces. Pieces are named by their place in the collection. */
export interface LineupApi {
  /** Takes the record of a piece, in place of an earlier one with the same key. */
  put(key: string, name: string, record: SpecimenRecord): void;
  drop(keys: readonly string[]): void;
  /** Takes records from files; tells how many were read. Gives those that are no records. */
  read(files: readonly File[], told: (done: number) => void): Promise<readonly Refused[]>;
  collection(): Collection;
  /** Every piece's place in the measures of the continuum. */
  ranks(): ContinuumPlaces[];
  means(groups: readonly Int32Array[], size: OutlineSize): MeanOutline[];
  shapes(which: Int32Array): ShapeSpace | null;
  compare(ids: readonly string[], first: Int32Array, second: Int32Array, by: Correction): Comparison[];
}
