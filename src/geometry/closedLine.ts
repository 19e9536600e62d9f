/** A closed line by its points, the last joined to the first. */
export interface ClosedLine {
  /** One array per coordinate, n long each. */
  readonly channels: readonly Float64Array[];
  /** Arc length of each point from the first, rising; `length` closes the round. */
  readonly arc: Float64Array;
  readonly length: number;
}

/** Arc length from point i − steps to point i. */
export function distanceBack(arc: Float64Array, length: number, n: number, i: number, steps: number): number {
  const j = i - steps;
  if (steps >= n) return length;
  return j >= 0 ? arc[i] - arc[j] : arc[i] + length - arc[((j % n) + n) % n];
}
