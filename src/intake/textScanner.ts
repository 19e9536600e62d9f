/** Exact powers of ten: a double holds each without rounding. */
const POWERS = Float64Array.from({ length: 23 }, (_, k) => Number(`1e${k}`));
const LARGEST_EXACT = 2 ** 53;

const NEWLINE = 10;
const RETURN = 13;
const BACKSLASH = 92;
const ZERO = 48;
const NINE = 57;

/**
 * Walks the bytes of a text file without making strings: numbers, words and line ends, with the line counted from 1.
 * White space is space, tab and other control characters but line ends; a line ends in \n, \r\n or \r.
 */
export class TextScanner {
  line: number;
  offset: number;
  /** Takes a backslash before a line end as white space, as OBJ does. */
  private readonly continues: boolean;

  constructor(
    readonly bytes: Uint8Array,
    { offset = 0, line = 1, continues = false }: { offset?: number; line?: number; continues?: boolean } = {},
  ) {
    this.offset = offset;
    this.line = line;
    this.continues = continues;
  }

  get atEnd(): boolean {
    return this.offset >= this.bytes.length;
  }

  /** Skips white space within the line. Returns whether anything but a line end or the end of the file follows. */
  skipSpaces(): boolean {
    const { bytes } = this;
    let at = this.offset;
    for (;;) {
      const byte = bytes[at];
      if (byte <= 32 && byte !== NEWLINE && byte !== RETURN) {
        at++;
        continue;
      }
      this.offset = at;
      if (byte !== BACKSLASH || !this.continues || !this.skipContinuation()) return byte > 32;
      at = this.offset;
    }
  }

  private skipContinuation(): boolean {
    const next = this.bytes[this.offset + 1];
    if (next !== NEWLINE && next !== RETURN) return false;
    this.offset++;
    this.skipLineEnd();
    return true;
  }

  private skipLineEnd(): void {
    if (this.bytes[this.offset] === RETURN && this.bytes[this.offset + 1] === NEWLINE) this.offset++;
    this.offset++;
    this.line++;
  }

  /** Goes to the start of the next line, whatever is left on this one. */
  nextLine(): void {
    const { bytes } = this;
    while (this.offset < bytes.length) {
      const byte = bytes[this.offset];
      if (byte === NEWLINE || byte === RETURN) {
        this.skipLineEnd();
        return;
      }
      if (byte === BACKSLASH && this.continues && this.skipContinuation()) continue;
      this.offset++;
    }
  }

  /** Goes to the next line that is not blank. Returns whether there is one. */
  skipBlankLines(): boolean {
    while (!this.skipSpaces()) {
      if (this.atEnd) return false;
      this.skipLineEnd();
    }
    return true;
  }

  /**
   * The number that starts here, correctly rounded, or NaN if none does; call after `skipSpaces`. It must end at white
   * space or at the end. Infinity in words counts as no number. On failure the offset stays.
   */
  number(): number {
    const { bytes } = this;
    const start = this.offset;
    let at = start;
    let byte = bytes[at];
    const negative = byte === 45;
    if (negative || byte === 43) byte = bytes[++at];
    let mantissa = 0;
    let power = 0;
    let digits = 0;
    for (; byte >= ZERO && byte <= NINE; byte = bytes[++at], digits++)
      mantissa = mantissa * 10 + (byte - ZERO);
    if (byte === 46) {
      for (byte = bytes[++at]; byte >= ZERO && byte <= NINE; byte = bytes[++at], digits++, power--) {
        mantissa = mantissa * 10 + (byte - ZERO);
      }
    }
    if (digits === 0) return Number.NaN;
    if (byte === 101 || byte === 69) {
      byte = bytes[++at];
      const down = byte === 45;
      if (down || byte === 43) byte = bytes[++at];
      let exponent = 0;
      let any = false;
      for (; byte >= ZERO && byte <= NINE; byte = bytes[++at], any = true) {
        exponent = Math.min(99_999, exponent * 10 + (byte - ZERO));
      }
      if (!any) return Number.NaN;
      power += down ? -exponent : exponent;
    }
    if (byte > 32) return Number.NaN;
    this.offset = at;
    // Digits below 2⁵³ and a power of ten up to 22 are both exact, so one division or product rounds correctly
    // (W. D. Clinger, "How to read floating point numbers accurately", 1990). The rest is left to the language.
    if (mantissa <= LARGEST_EXACT && power >= -22 && power <= 22) {
      const size = power < 0 ? mantissa / POWERS[-power] : mantissa * POWERS[power];
      return negative ? -size : size;
    }
    return Number(latin1(bytes.subarray(start, at)));
  }

  /** The whole number that starts here, or NaN; stops at the first byte that is no digit. On failure the offset stays. */
  integer(): number {
    const { bytes } = this;
    let at = this.offset;
    let byte = bytes[at];
    const negative = byte === 45;
    if (negative || byte === 43) byte = bytes[++at];
    const start = at;
    let value = 0;
    for (; byte >= ZERO && byte <= NINE; byte = bytes[++at]) value = value * 10 + (byte - ZERO);
    if (at === start) return Number.NaN;
    this.offset = at;
    return negative ? -value : value;
  }

  /** Whether white space, a line end or the end follows. */
  get atBreak(): boolean {
    return this.atEnd || this.bytes[this.offset] <= 32;
  }

  /** Goes behind `wanted` (lower case) if that word starts here, in either case. Returns whether it did. */
  takeWord(wanted: string): boolean {
    const { bytes, offset } = this;
    const end = offset + wanted.length;
    for (let k = 0; k < wanted.length; k++)
      if ((bytes[offset + k] | 32) !== wanted.charCodeAt(k)) return false;
    if (bytes[end] > 32) return false;
    this.offset = end;
    return true;
  }

  /** Skips the word that starts here. */
  skipWord(): void {
    while (!this.atBreak) this.offset++;
  }

  /** The text up to the next white space, 40 characters at most; the scanner goes behind it. */
  word(): string {
    const start = this.offset;
    this.skipWord();
    return latin1(this.bytes.subarray(start, Math.min(this.offset, start + 40)));
  }
}

/** The bytes as characters; quick for the few that make a word. */
function latin1(bytes: Uint8Array): string {
  if (bytes.length > 200) return new TextDecoder('latin1').decode(bytes);
  let text = '';
  for (let i = 0; i < bytes.length; i++) text += String.fromCharCode(bytes[i]);
  return text;
}
