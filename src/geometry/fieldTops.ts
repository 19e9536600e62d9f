import type { Grid } from './calmField.ts';

/** How many separate tops of the field are looked into. */
const CANDIDATES = 6;
/** Samples further below the best calmed one than this many sigmas are no candidates. */
const HOPELESS = 4;

/** A sample that stands above the mean round it by more than so many sigmas stands on a crest, of which the mean loses height. */
const BEYOND_NOISE = 3;

/** A cell and about how high it is: the mean round it, or more where its sample is higher than noise explains. */
export interface Top {
  readonly k: number;
  readonly value: number;
}

/** Looks for the tops of a noisy field: under a moving mean, which noise does not raise one by one, and on crests. */
export class FieldTops {
  private readonly grid: Grid;
  private readonly sigma: number;
  /** Radius of the moving mean, cells. */
  private readonly calming: number;
  private sums: RowSums | undefined;

  constructor(grid: Grid, sigma: number, calming: number) {
    this.grid = grid;
    this.sigma = sigma;
    this.calming = calming;
  }

  /** Cells of the highest separate tops of the field. */
  highest(fromRow: number, toRow: number): Top[] {
    const { values, columns } = this.grid;
    const reach = Math.floor(this.calming);
    const tops: Top[] = [];
    for (let row = fromRow; row <= toRow; row++) {
      for (let column = 0; column < columns; column++) {
        const k = row * columns + column;
        if (Number.isNaN(values[k])) continue;
        const least = tops.length === CANDIDATES ? tops[CANDIDATES - 1].value : -Infinity;
        if (values[k] + HOPELESS * this.sigma < least) continue;
        const value = Math.max(this.mean(column, row), values[k] - BEYOND_NOISE * this.sigma);
        keepTop(tops, k, value, reach, columns);
      }
    }
    return tops;
  }

  /** Mean of what there is of the calming disc. */
  private mean(column: number, row: number): number {
    const { values, columns, rows } = this.grid;
    if (this.calming < 1) return values[row * columns + column];
    this.sums ??= rowSums(this.grid);
    const { sum, count } = this.sums;
    const reach = Math.floor(this.calming);
    let whole = 0;
    let cells = 0;
    for (let r = Math.max(0, row - reach); r <= Math.min(rows - 1, row + reach); r++) {
      const half = Math.floor(Math.sqrt(this.calming ** 2 - (r - row) ** 2));
      const from = r * (columns + 1) + Math.max(0, column - half);
      const to = r * (columns + 1) + Math.min(columns, column + half + 1);
      whole += sum[to] - sum[from];
      cells += count[to] - count[from];
    }
    return whole / cells;
  }
}

/** What stands before each place of a row, empty cells left out: one more number a row than there are columns. */
interface RowSums {
  readonly sum: Float64Array;
  readonly count: Uint32Array;
}

function rowSums({ values, columns, rows }: Grid): RowSums {
  const sum = new Float64Array((columns + 1) * rows);
  const count = new Uint32Array(sum.length);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const at = row * (columns + 1) + column;
      const v = values[row * columns + column];
      const there = !Number.isNaN(v);
      sum[at + 1] = sum[at] + (there ? v : 0);
      count[at + 1] = count[at] + (there ? 1 : 0);
    }
  }
  return { sum, count };
}

/** Keeps the highest tops, only the highest of those within `reach` cells of one another. */
function keepTop(tops: Top[], k: number, value: number, reach: number, columns: number): void {
  if (tops.length === CANDIDATES && value <= tops[CANDIDATES - 1].value) return;
  for (let i = 0; i < tops.length; i++) {
    const dx = (tops[i].k % columns) - (k % columns);
    const dy = Math.floor(tops[i].k / columns) - Math.floor(k / columns);
    if (dx * dx + dy * dy > reach * reach) continue;
    if (tops[i].value >= value) return;
    tops.splice(i--, 1);
  }
  let at = tops.length;
  while (at > 0 && tops[at - 1].value < value) at--;
  tops.splice(at, 0, { k, value });
  if (tops.length > CANDIDATES) tops.pop();
}
