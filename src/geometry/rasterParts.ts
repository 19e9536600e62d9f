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
