/** A small generator of equal numbers for equal seeds (mulberry32, public domain). */
export function randomOf(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** Whole numbers that counts and offsets are bent to: nothing, signs, ends of ranges, more than any file holds. */
const ABSURD = [0, 1, 0x7f, 0x80, 0xff, 0x7fff, 0xffff, 0x7fffffff, 0x80000000, 0xfffffffe, 0xffffffff];

/** A file with one to four spoilt places: bytes changed, cut out, doubled, counts made absurd, or the end cut off. */
export function mutate(bytes: Uint8Array, random: () => number): Uint8Array {
  let result = Array.from(bytes);
  const times = 1 + Math.floor(random() * 4);
  for (let k = 0; k < times; k++) {
    // Half of the blows fall on the first bytes, where a format keeps its promises.
    const reach = random() < 0.5 ? Math.min(300, result.length) : result.length;
    const at = Math.floor(random() * reach);
    const length = 1 + Math.floor(random() ** 3 * 40);
    const kind = random();
    if (kind < 0.25) result[at] = Math.floor(random() * 256);
    else if (kind < 0.35) result[at] = [0, 255, 127, 128, 45, 48, 57, 10][Math.floor(random() * 8)];
    else if (kind < 0.45) result[at] ^= 1 << Math.floor(random() * 8);
    else if (kind < 0.55) putAbsurd(result, at, random);
    else if (kind < 0.65) result.splice(at, length);
    else if (kind < 0.75) result.splice(at, 0, ...result.slice(at, at + length));
    else if (kind < 0.83) for (let i = at; i < Math.min(at + length, result.length); i++) result[i] = 255;
    else if (kind < 0.91) for (let i = at; i < Math.min(at + length, result.length); i++) result[i] = 57;
    else if (kind < 0.95) moveStretch(result, at, length, random);
    else result = result.slice(0, at);
  }
  return Uint8Array.from(result);
}

/** A number of two or four bytes, in either byte order, at a place that is even as a rule. */
function putAbsurd(bytes: number[], at: number, random: () => number): void {
  const value = ABSURD[Math.floor(random() * ABSURD.length)];
  const size = random() < 0.5 ? 2 : 4;
  const little = random() < 0.5;
  const start = random() < 0.7 ? at - (at % size) : at;
  for (let k = 0; k < size && start + k < bytes.length; k++) {
    bytes[start + k] = (value >>> (8 * (little ? k : size - 1 - k))) & 255;
  }
}

/** A stretch from elsewhere in the file laid over this place: a structure that is right in itself, in the wrong place. */
function moveStretch(bytes: number[], at: number, length: number, random: () => number): void {
  const from = Math.floor(random() * bytes.length);
  for (let k = 0; k < length && from + k < bytes.length && at + k < bytes.length; k++)
    bytes[at + k] = bytes[from + k];
}

/** Words that take the place of one of a JSON or CSV text. */
const WORDS = [
  '['.repeat(20_000),
  '{"a":'.repeat(20_000),
  '{"__proto__":{"polluted":true}}',
  '{"constructor":{"prototype":{"polluted":true}}}',
  '"__proto__"',
  '"constructor"',
  'constructor',
  '1e999',
  '-1e999',
  '1e-400',
  '-0',
  '-1',
  '0',
  '0.5',
  '1e15',
  '99999999999999999999',
  'NaN',
  'null',
  'true',
  '[]',
  '{}',
  '""',
  `"${'long '.repeat(20_000)}"`,
  '"\\u0000\\ud800\\uffff"',
  '"<script>alert(1)</script>"',
  '"=cmd|\'/C calc\'!A0"',
  '"../../../etc/passwd"',
  '"\u202egnp.exe"',
  ',',
  '"',
  '\n',
  '\r\n\r\n',
] as const;

/** A text with one to three of its words (names, numbers, marks) replaced, doubled or struck out. */
export function mutateText(bytes: Uint8Array, random: () => number): Uint8Array {
  let text = new TextDecoder().decode(bytes);
  const times = 1 + Math.floor(random() * 3);
  for (let k = 0; k < times; k++) {
    const places = [...text.slice(0, 200_000).matchAll(/"(?:[^"\\]|\\.)*"|[\w.+-]+|[^\s\w]/g)];
    if (places.length === 0) break;
    const { 0: word, index } = places[Math.floor(random() * places.length)];
    const kind = random();
    const other = places[Math.floor(random() * places.length)][0];
    const instead =
      kind < 0.6
        ? WORDS[Math.floor(random() * WORDS.length)]
        : kind < 0.75
          ? ''
          : kind < 0.9
            ? other
            : word + word;
    text = text.slice(0, index) + instead + text.slice(index + word.length);
  }
  return new TextEncoder().encode(text);
}
