import { count } from '../intake/wording.ts';

/** Names in one sentence; run.json has all. */
const NAMED = 10;

/** What of a folder was not looked into, in sentences; none where all was. */
export function passedOverLines(passedOver: readonly string[], textures: readonly string[]): string[] {
  const told = (files: readonly string[], what: string, why: string): string[] =>
    files.length === 0 ? [] : [`${count(files.length, what)} passed over, ${why}: ${named(files)}.`];
  return [
    ...told(passedOver, 'file', 'neither a scan nor a photograph'),
    ...told(textures, 'picture', 'named by a scan as its texture'),
  ];
}

function named(files: readonly string[]): string {
  const more = files.length - NAMED;
  return files.slice(0, NAMED).join(', ') + (more > 0 ? ` and ${more} more (run.json names them)` : '');
}
