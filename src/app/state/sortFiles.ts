/** What a person dropped or chose, by what becomes of it. */
export interface SortedFiles {
  readonly scans: readonly File[];
  readonly photographs: readonly File[];
  /** Archives of whole drawers. */
  readonly drawers: readonly File[];
}

const PHOTOGRAPH = /\.(jpe?g|png|tiff?|webp|avif|heic|heif|gif|bmp|dng|cr2|cr3|nef|arw)$/i;
const ARCHIVE = /\.zip$/i;

/** Sorts files by their names' endings and the kind that the system tells; what is neither is tried as a scan. */
export function sortFiles(files: readonly File[]): SortedFiles {
  const isPhotograph = ({ name, type }: File): boolean => PHOTOGRAPH.test(name) || type.startsWith('image/');
  const isArchive = ({ name }: File): boolean => ARCHIVE.test(name);
  return {
    photographs: files.filter(isPhotograph),
    drawers: files.filter((file) => !isPhotograph(file) && isArchive(file)),
    scans: files.filter((file) => !isPhotograph(file) && !isArchive(file)),
  };
}
