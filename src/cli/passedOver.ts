import { hasEnding } from '../intake/fileEndings.ts';
import { count } from '../intake/wording.ts';

/** Names in one sentence; run.json has all. */
const NAMED = 10;

/** Pictures that cameras and telephones keep and nothing here reads. */
const UNREAD =
  '.heic .heif .avif .jxl .jp2 .bmp .gif .psd .dng .cr2 .cr3 .nef .arw .orf .raf .rw2 .pef .srw'.split(' ');

/** What of a folder was not looked into, in sentences; none where all was. */
export function passedOverLines(passedOver: readonly string[], textures: readonly string[]): string[] {
  const told = (files: readonly string[], what: string, why: string): string[] =>
    files.length === 0 ? [] : [`${count(files.length, what)} passed over, ${why}: ${named(files)}.`];
  const unread = passedOver.filter((file) => hasEnding(file, UNREAD));
  const others = passedOver.filter((file) => !hasEnding(file, UNREAD));
  return [
    ...told(unread, 'picture', 'of a kind that is not read (save it as JPEG, PNG or TIFF)'),
    ...told(others, 'file', 'neither a scan nor a photograph'),
    ...told(textures, 'picture', 'named by a scan as its texture'),
  ];
}

function named(files: readonly string[]): string {
  const more = files.length - NAMED;
  return files.slice(0, NAMED).join(', ') + (more > 0 ? ` and ${more} more (run.json names them)` : '');
}
