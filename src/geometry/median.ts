/** So few values are ordered faster than the one that is wanted is found among them. */
const FEW = 16;

/** Median (the upper of two) of the first `count` values, which it moves about; NaN of none. */
export function medianInPlace(values: Float64Array, count = values.length): number {
  if (count === 0) return NaN;
  if (count > FEW) return rankInPlace(values.subarray(0, count), count >> 1);
  for (let i = 1; i < count; i++) {
    const value = values[i];
    let at = i;
    for (; at > 0 && values[at - 1] > value; at--) values[at] = values[at - 1];
    values[at] = value;
  }
  return values[count >> 1];
}

/** The value that would stand at `rank` (from 0) were all in order; moves them about (Hoare's selection, O(count)). */
export function rankInPlace(values: Float64Array, rank: number): number {
  let low = 0;
  let high = values.length - 1;
  while (low < high) {
    const pivot = values[rank];
    let i = low;
    let j = high;
    while (i <= j) {
      while (values[i] < pivot) i++;
      while (values[j] > pivot) j--;
      if (i > j) break;
      const swapped = values[i];
      values[i++] = values[j];
      values[j--] = swapped;
    }
    if (j < rank) low = i;
    if (i > rank) high = j;
  }
  return values[rank];
}
