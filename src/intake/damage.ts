import { IntakeError } from './types.ts';

/** How far into a file its bytes are looked at. */
const LOOKED_AT = 1 << 20;
/** Signs of one kind of damage below this number are chance. */
const ENOUGH = 16;

const CR = 13;
const LF = 10;

/**
 * How a binary file was altered on its way, by the traces that such ways leave, as a clause; undefined where there are none.
 * A transfer as text writes a carriage return before every line feed; a program that took the bytes for text wrote
 * them anew as UTF-8, those that it did not know as U+FFFD.
 */
export function alteredAsText(bytes: Uint8Array, from = 0): string | undefined {
  const end = Math.min(bytes.length, from + LOOKED_AT);
  let feeds = 0;
  let afterReturn = 0;
  let replaced = 0;
  let high = 0;
  let doubled = 0;
  for (let i = from; i < end; i++) {
    const byte = bytes[i];
    if (byte === LF) {
      feeds++;
      if (bytes[i - 1] === CR) afterReturn++;
    } else if (byte >= 0x80) {
      high++;
      // Latin-1 written as UTF-8: C2 or C3, then one byte more.
      if ((byte === 0xc2 || byte === 0xc3) && (bytes[i + 1] & 0xc0) === 0x80) doubled += 2;
      if (byte === 0xef && bytes[i + 1] === 0xbf && bytes[i + 2] === 0xbd) replaced++;
    }
  }
  if (replaced >= ENOUGH) return 'its bytes were taken for text, and many were lost';
  if (high >= ENOUGH && doubled >= 0.99 * high)
    return 'its bytes were taken for text and written anew as UTF-8';
  if (feeds >= ENOUGH && afterReturn === feeds)
    return 'every line feed in it was given a carriage return, as in a transfer as text';
  return undefined;
}

/** An error of reading, with what was done to the file on its way where that can be told. */
export function explained(error: IntakeError, bytes: Uint8Array, from: number): IntakeError {
  const how = alteredAsText(bytes, from);
  if (how === undefined) return error;
  return new IntakeError(
    'altered-as-text',
    `${error.message.replace(/\.$/, '')}: ${how}; copy it again from where it was made, as binary.`,
  );
}
