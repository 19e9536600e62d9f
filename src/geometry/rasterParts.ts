/** The parts of a mask that hang together by sides, or by corners too. */
export function eachPart(
  mask: Uint8Array,
  width: number,
  neighbours: 4 | 8,
  use: (part: readonly number[]) => void,
): void {
  // 1 on cells that no part has yet.
  const left = mask.slice();
  const last = width - 1;
  for (let start = left.indexOf(1); start >= 0; start = left.indexOf(1, start + 1)) {
    const part = [start];
    left[start] = 0;
    for (let k = 0; k < part.length; k++) {
      const at = part[k];
      const column = at % width;
      const from = column > 0 ? -1 : 0;
      const to = column < last ? 1 : 0;
      take(left, at + from, at + to, part);
      // Of the rows above and below what is beside the cell, or at its corners too.
      const aside = neighbours === 8 ? 1 : 0;
      take(left, at - width + aside * from, at - width + aside * to, part);
      take(left, at + width + aside * from, at + width + aside * to, part);
    }
    use(part);
  }
}

/** Takes those of a few cells in a row that are still there. */
function take(left: Uint8Array, from: number, to: number, into: number[]): void {
  if (from < 0 || to >= left.length) return;
  for (let cell = from; cell <= to; cell++) {
    if (left[cell] !== 1) continue;
    left[cell] = 0;
    into.push(cell);
  }
}

/** The cells of a mask that hang together by sides with one of them, as a mask; none where that is not in the mask. */
export function partAt(mask: Uint8Array, width: number, start: number): Uint8Array {
  const part = new Uint8Array(mask.length);
  if (mask[start] !== 1) return part;
  // Each cell waits once at most.
  const waiting = new Int32Array(mask.length);
  waiting[0] = start;
  part[start] = 1;
  const last = width - 1;
  for (let count = 1; count > 0; ) {
    const cell = waiting[--count];
    const column = cell % width;
    if (column > 0 && mask[cell - 1] > part[cell - 1]) {
      part[cell - 1] = 1;
      waiting[count++] = cell - 1;
    }
    if (column < last && mask[cell + 1] > part[cell + 1]) {
      part[cell + 1] = 1;
      waiting[count++] = cell + 1;
    }
    if (cell >= width && mask[cell - width] > part[cell - width]) {
      part[cell - width] = 1;
      waiting[count++] = cell - width;
    }
    if (cell + width < mask.length && mask[cell + width] > part[cell + width]) {
      part[cell + width] = 1;
      waiting[count++] = cell + width;
    }
  }
  return part;
}
