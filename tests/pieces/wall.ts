/**
 * Sews an upright wall between the rims of two sheets wherever they differ. Each place along the break is a column of
 * vertices from Face A down to Face B, as many as the spacing asks for; neighbouring columns are zipped together.
 */
export function sewWall(input: {
  /** Ring vertices of each face, counter-clockwise in plan; equal where the faces meet in the margin. */
  readonly rimA: readonly number[];
  readonly rimB: readonly number[];
  /** x y z, to which the wall's own vertices are added. */
  readonly positions: number[];
  readonly triangles: number[];
  readonly spacing: number;
}): void {
  const { rimA, rimB, positions, triangles, spacing } = input;
  const n = rimA.length;
  const columns = rimA.map((top, i) => column(top, rimB[i], positions, spacing));
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    if (columns[i].length > 1 || columns[j].length > 1) zip(columns[i], columns[j], positions, triangles);
  }
}

function column(top: number, bottom: number, positions: number[], spacing: number): number[] {
  if (top === bottom) return [top];
  const [x, y, z] = positions.slice(3 * top, 3 * top + 3);
  const height = z - positions[3 * bottom + 2];
  const parts = Math.max(1, Math.round(height / spacing));
  const ids = [top];
  for (let k = 1; k < parts; k++) {
    positions.push(x, y, z - (height * k) / parts);
    ids.push(positions.length / 3 - 1);
  }
  ids.push(bottom);
  return ids;
}

/** Triangles between two columns, each listed from the top; the second comes next on a counter-clockwise ring. */
function zip(
  first: readonly number[],
  second: readonly number[],
  positions: number[],
  triangles: number[],
): void {
  let [i, j] = [0, 0];
  while (i < first.length - 1 || j < second.length - 1) {
    const down = (ids: readonly number[], k: number) =>
      k + 1 < ids.length ? positions[3 * ids[k + 1] + 2] : -Infinity;
    // Step down on the column whose next vertex is the higher one.
    if (down(first, i) >= down(second, j)) {
      triangles.push(first[i], first[i + 1], second[j]);
      i++;
    } else {
      triangles.push(first[i], second[j + 1], second[j]);
      j++;
    }
  }
}
