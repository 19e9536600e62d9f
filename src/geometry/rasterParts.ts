/** The parts of a mask that hang together by sides, or by corners too. */
export function eachPart(
  mask: Uint8Array,
  width: number,
  neighbours: 4 | 8,
  use: (part: readonly number[]) => void,
): void {
  const steps = [-1, 1, -width, width, -width - 1, -width + 1, width - 1, width + 1].slice(0, neighbours);
  // Columns that each step goes to the right: none leaves its row.
  const rights = [-1, 1, 0, 0, -1, 1, -1, 1];
  const seen = new Uint8Array(mask.length);
  for (let start = mask.indexOf(1); start >= 0; start = mask.indexOf(1, start + 1)) {
    if (seen[start] === 1) continue;
    const part = [start];
    seen[start] = 1;
    for (let k = 0; k < part.length; k++) {
      const at = part[k] % width;
      for (let s = 0; s < neighbours; s++) {
        const cell = part[k] + steps[s];
        if (mask[cell] !== 1 || seen[cell] === 1) continue;
        const column = at + rights[s];
        if (column < 0 || column >= width) continue;
        seen[cell] = 1;
        part.push(cell);
      }
    }
    use(part);
  }
}
