import type { Points2 } from './types.ts';

/** Steps to the eight cells around one, clockwise with y down, from the one to the left on. */
const STEP_X = [-1, -1, 0, 1, 1, 1, 0, -1];
const STEP_Y = [0, -1, -1, -1, 0, 1, 1, 1];

/**
 * Of all parts of a mask (cells that hang together by sides or corners) the one whose outer border encloses most: that
 * border, through the centres of its cells, x y pairs. Undefined where no part encloses anything. Looks at borders only:
 * O(cells) of memory search and O(border) of work and memory.
 *
 * @param mask width × height, row by row, 1 inside
 */
export function greatestContour(mask: Uint8Array, width: number): Points2 | undefined {
  // Cells from whose left side a border was followed.
  const seen = new Set<number>();
  let best: number[] = [];
  let most = 0;
  const words = wordsOf(mask);
  for (let from = nextOf(mask, words, 1, 0); from < mask.length; ) {
    if (!seen.has(from)) {
      const border = follow(mask, width, from, seen);
      // Clockwise round a part, the other way round a hole.
      const area = twiceArea(border);
      if (area > most) [best, most] = [border, area];
    }
    // Next: where the run ends and another begins, or the row.
    const end = nextOf(mask, words, 0, from);
    const row = (Math.floor(from / width) + 1) * width;
    from = nextOf(mask, words, 1, Math.min(end, row));
  }
  return most > 0 ? Float64Array.from(best) : undefined;
}

/** The cells of a mask four at a time; a rest is left out. */
function wordsOf(mask: Uint8Array): Uint32Array {
  const { buffer, byteOffset } = mask.byteOffset % 4 === 0 ? mask : mask.slice();
  return new Uint32Array(buffer, byteOffset, mask.length >> 2);
}

/** The first cell from a place on that holds a value, 0 or 1; the mask's length where none does. Looks at four cells at once. */
function nextOf(mask: Uint8Array, words: Uint32Array, value: 0 | 1, from: number): number {
  let i = from;
  for (; i < mask.length && (i & 3) !== 0; i++) if (mask[i] === value) return i;
  const none = value === 0 ? 0x01010101 : 0;
  let word = i >> 2;
  while (word < words.length && words[word] === none) word++;
  for (i = Math.max(i, 4 * word); i < mask.length; i++) if (mask[i] === value) return i;
  return mask.length;
}

/** The border that passes to the left of a cell, followed once round (Moore neighbours, until the first step comes again). */
function follow(mask: Uint8Array, width: number, start: number, seen: Set<number>): number[] {
  const height = mask.length / width;
  const border: number[] = [];
  let x = start % width;
  let y = Math.floor(start / width);
  // The side from which the cell was entered: everything is looked at clockwise from there.
  let back = 0;
  let first = -1;
  for (;;) {
    let found = -1;
    for (let k = 0; k < 8; k++) {
      const direction = (back + k) & 7;
      const u = x + STEP_X[direction];
      const v = y + STEP_Y[direction];
      if (u >= 0 && v >= 0 && u < width && v < height && mask[v * width + u] === 1) {
        found = direction;
        break;
      }
      if (direction === 0) seen.add(y * width + x);
    }
    const here = y * width + x;
    if (found < 0) return [x, y];
    if (here === start && first === found) return border;
    if (here === start && first < 0) first = found;
    border.push(x, y);
    x += STEP_X[found];
    y += STEP_Y[found];
    // The last empty cell that was looked at, as seen from the new one.
    back = (found & 1) === 0 ? (found + 6) & 7 : (found + 5) & 7;
  }
}

function twiceArea(ring: readonly number[]): number {
  const n = ring.length;
  let sum = 0;
  for (let i = 0, j = n - 2; i < n; j = i, i += 2) sum += ring[j] * ring[i + 1] - ring[i] * ring[j + 1];
  return sum;
}
