/** Rounds of relaxation after the first, layer by layer, filling. */
const ROUNDS = 300;
/** Over-relaxation: near the best for holes of a few tens of cells. */
const OVER = 1.8;

/**
 * Gives every masked cell of a grid that has no value (NaN) one: the membrane stretched over the hole from the values
 * round it. Cells outside the mask neither give nor get. Changes `values` in place; returns the filled cells' indices.
 */
export function fillHoles(values: Float32Array, mask: Uint8Array, columns: number): Uint32Array {
  const holes: number[] = [];
  for (let k = 0; k < values.length; k++) if (mask[k] !== 0 && Number.isNaN(values[k])) holes.push(k);
  const rows = values.length / columns;
  const around = (k: number): number => {
    const column = k % columns;
    const row = (k - column) / columns;
    let sum = 0;
    let count = 0;
    const take = (j: number): void => {
      if (mask[j] === 0 || Number.isNaN(values[j])) return;
      sum += values[j];
      count++;
    };
    if (column > 0) take(k - 1);
    if (column + 1 < columns) take(k + 1);
    if (row > 0) take(k - columns);
    if (row + 1 < rows) take(k + columns);
    return count > 0 ? sum / count : NaN;
  };
  let open = holes;
  while (open.length > 0) {
    const found = open.map(around);
    const left = open.filter((_, i) => Number.isNaN(found[i]));
    open.forEach((k, i) => {
      values[k] = found[i];
    });
    if (left.length === open.length) break;
    open = left;
  }
  const filled = holes.filter((k) => !Number.isNaN(values[k]));
  for (let round = 0; round < ROUNDS; round++) {
    let change = 0;
    for (const k of filled) {
      const step = OVER * (around(k) - values[k]);
      values[k] += step;
      change = Math.max(change, Math.abs(step));
    }
    if (change < 1e-6) break;
  }
  return Uint32Array.from(filled);
}
