import { inflateSync } from 'fflate';

/** Compressions of TIFF that are unpacked here: none, LZW, Deflate (by either number), PackBits. */
export const UNPACKED: ReadonlySet<number> = new Set([1, 5, 8, 32946, 32773]);

/**
 * Unpacks one strip or tile into `out`, which bounds the work: what would go beyond it is left out. Throws a RangeError
 * for data that are damaged or end before `out` is full.
 */
export function unpackStrip(packed: Uint8Array, compression: number, out: Uint8Array): void {
  const filled =
    compression === 5
      ? unpackLzw(packed, out)
      : compression === 32773
        ? unpackBits(packed, out)
        : compression === 1
          ? copy(packed, out)
          : unpackDeflate(packed, out);
  if (filled < out.length) throw new RangeError('the strip ends too soon');
}

function copy(packed: Uint8Array, out: Uint8Array): number {
  out.set(packed.subarray(0, out.length));
  return packed.length;
}

/** Deflate in its zlib wrapping, whose two bytes of head and four of sum are stepped over. */
function unpackDeflate(packed: Uint8Array, out: Uint8Array): number {
  // Given a buffer, the library never makes a larger one.
  return inflateSync(packed.subarray(2, packed.length - 4), { out }).length;
}

/** TIFF 6.0, section 9. */
function unpackBits(packed: Uint8Array, out: Uint8Array): number {
  let at = 0;
  let to = 0;
  while (at < packed.length && to < out.length) {
    const n = packed[at++];
    if (n === 128) continue;
    const length = Math.min(n < 128 ? n + 1 : 257 - n, out.length - to);
    if (n < 128) {
      const run = packed.subarray(at, at + length);
      out.set(run, to);
      if (run.length < length) throw new RangeError('a run ends too soon');
      at += n + 1;
    } else out.fill(packed[at++], to, to + length);
    to += length;
  }
  return to;
}

const CLEAR = 256;
const END = 257;
const MOST_CODES = 4096;

/**
 * TIFF 6.0, section 13: codes of 9 to 12 bits, highest bit first, one bit longer already before the code that needs it.
 * Each code names an earlier one and a byte after it, so that no chain can close into a ring.
 */
function unpackLzw(packed: Uint8Array, out: Uint8Array): number {
  const prefix = new Uint16Array(MOST_CODES);
  const last = new Uint8Array(MOST_CODES);
  const first = new Uint8Array(MOST_CODES);
  const length = new Uint32Array(MOST_CODES);
  for (let code = 0; code < CLEAR; code++) {
    last[code] = first[code] = code;
    length[code] = 1;
  }
  let next = END + 1;
  let width = 9;
  let before = -1;
  let bits = 0;
  let held = 0;
  let to = 0;
  for (let at = 0; to < out.length; ) {
    for (; bits < width; bits += 8) {
      if (at === packed.length) return to;
      held = ((held << 8) | packed[at++]) & 0xfffff;
    }
    bits -= width;
    const code = (held >>> bits) & ((1 << width) - 1);
    if (code === END) return to;
    if (code === CLEAR) {
      next = END + 1;
      width = 9;
      before = -1;
      continue;
    }
    if (code > next || (before === -1 && code >= CLEAR) || (code === next && next === MOST_CODES))
      throw new RangeError('a code comes before it is told');
    if (before !== -1 && next < MOST_CODES) {
      prefix[next] = before;
      first[next] = first[before];
      last[next] = code === next ? first[before] : first[code];
      length[next] = length[before] + 1;
      next += 1;
      if (next + 1 === 1 << width && width < 12) width += 1;
    }
    const end = to + length[code];
    for (let k = end - 1, c = code; k >= to; k--, c = prefix[c]) if (k < out.length) out[k] = last[c];
    to = end;
    before = code;
  }
  return to;
}
