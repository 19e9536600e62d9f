import { hasEnding, PHOTO_ENDINGS, SCAN_ENDINGS } from '../../intake/fileEndings.ts';

/** What a person dropped or chose, by what becomes of it. */
export interface SortedFiles {
  /** Scans and photographs: their content tells which. */
  readonly pieces: readonly File[];
  /** Archives of whole drawers. */
  readonly drawers: readonly File[];
  /** Records of pieces that were measured before. */
  readonly records: readonly File[];
  /** Tables of hand measurements. */
  readonly tables: readonly File[];
}

const ARCHIVE = /\.zip$/i;
const RECORD = /\.specimen\.json$/i;
const TABLE = /\.(csv|tsv)$/i;

/** Materials of an OBJ: they tell which pictures are no photographs. */
const MATERIALS = /\.mtl$/i;

/** Its name says that it is of a kind that is read here. */
export function isKnownFile(name: string): boolean {
  return (
    hasEnding(name, [...SCAN_ENDINGS, ...PHOTO_ENDINGS]) ||
    [ARCHIVE, RECORD, TABLE, MATERIALS].some((kind) => kind.test(name))
  );
}

/** Sorts files by their names' endings; what is nothing else is tried as a scan or a photograph. */
export function sortFiles(files: readonly File[]): SortedFiles {
  const ending = (kind: RegExp): File[] => files.filter(({ name }) => kind.test(name));
  const [drawers, records, tables] = [ARCHIVE, RECORD, TABLE].map(ending);
  const others = new Set([...drawers, ...records, ...tables]);
  return { pieces: files.filter((file) => !others.has(file)), drawers, records, tables };
}
