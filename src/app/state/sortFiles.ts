/** What a person dropped or chose, by what becomes of it. */
export interface SortedFiles {
  /** Scans and photographs: their content tells which. */
  readonly pieces: readonly File[];
  /** Archives of whole drawers. */
  readonly drawers: readonly File[];
}

const ARCHIVE = /\.zip$/i;

/** Sorts files by their names' endings; what is no archive is tried as a scan or a photograph. */
export function sortFiles(files: readonly File[]): SortedFiles {
  const isArchive = ({ name }: File): boolean => ARCHIVE.test(name);
  return { pieces: files.filter((file) => !isArchive(file)), drawers: files.filter(isArchive) };
}
