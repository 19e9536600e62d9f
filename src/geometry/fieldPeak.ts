/** A sampled surface over a square grid; NaN where there is none. Row-major, `columns` wide. */
export interface Grid {
  readonly values: Float32Array;
  readonly columns: number;
  readonly rows: number;
  /** Distance of cells, and of independent samples under them (the mean edge of the mesh), in one unit. */
  readonly cell: number;
  readonly grain: number;
}

export interface Peak {
  readonly value: number;
  /** Standard error of `value` from noise. */
  readonly error: number;
  readonly column: number;
  readonly row: number;
}

/** Standard errors that two estimates may lie apart before the wider one is refused. */
const CONFIDENCE = 2;
/** Radii of the fits tried, in grains. */
const RADII = [1.5, 2.2, 3.2, 4.5, 6, 8];
/** How many separate tops of the calmed field are looked into. */
const CANDIDATES = 6;
/** Fits to points on one side only are no fits: this share of a disc must be there. */
const LEAST_COVER = 0.6;

/**
 * The greatest value of a noisy sampled surface, without the upward pull of its noise.
 *
 * The highest of many noisy samples is always too high. Tops of the calmed field are looked into one by one: a quadratic
 * is fitted to discs that widen as long as its value at the top agrees with those before (intersection of confidence
 * intervals, as in `adaptiveSmooth.ts`), so that a ridge keeps its height and a dome loses its noise. With sigma 0 it is
 * the highest sample.
 *
 * @param sigma standard deviation of a sample's noise; @param fromRow, @param toRow rows to look in, both included.
 * @returns undefined where the rows hold no value.
 */
export function fieldPeak(grid: Grid, sigma: number, fromRow = 0, toRow = grid.rows - 1): Peak | undefined {
  const { values, columns } = grid;
  const calm = sigma > 0 ? Math.round((1.5 * grid.grain) / grid.cell) : 0;
  const tops: { k: number; value: number }[] = [];
  for (let row = Math.max(0, fromRow); row <= Math.min(grid.rows - 1, toRow); row++) {
    for (let column = 0; column < columns; column++) {
      const k = row * columns + column;
      if (Number.isNaN(values[k])) continue;
      if (tops.length === CANDIDATES && values[k] + 4 * sigma < tops[CANDIDATES - 1].value) continue;
      keepTop(tops, k, calm === 0 ? values[k] : discMean(grid, k, calm), calm, columns);
    }
  }
  let best: Peak | undefined;
  for (const { k } of tops) {
    const { value, error } = sigma > 0 ? settle(grid, k, sigma) : { value: values[k], error: 0 };
    if (best === undefined || value > best.value) {
      best = { value, error, column: k % columns, row: Math.floor(k / columns) };
    }
  }
  return best;
}

/** Keeps the highest tops, only the highest of those within `reach` cells of one another. */
function keepTop(
  tops: { k: number; value: number }[],
  k: number,
  value: number,
  reach: number,
  columns: number,
): void {
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

function discMean({ values, columns, rows }: Grid, k: number, reach: number): number {
  const column = k % columns;
  const row = Math.floor(k / columns);
  let sum = 0;
  let count = 0;
  for (let r = Math.max(0, row - reach); r <= Math.min(rows - 1, row + reach); r++) {
    for (let c = Math.max(0, column - reach); c <= Math.min(columns - 1, column + reach); c++) {
      const v = values[r * columns + c];
      if (Number.isNaN(v) || (r - row) ** 2 + (c - column) ** 2 > reach * reach) continue;
      sum += v;
      count++;
    }
  }
  return sum / count;
}

/** The value at cell k by the widest quadratic that agrees with all narrower ones. */
function settle(grid: Grid, k: number, sigma: number): { value: number; error: number } {
  let value = grid.values[k];
  let error = sigma;
  let low = value - CONFIDENCE * sigma;
  let high = value + CONFIDENCE * sigma;
  for (const radius of RADII) {
    const fitted = quadraticAt(grid, k, (radius * grid.grain) / grid.cell);
    if (fitted === undefined) continue;
    // Samples under one grain share their noise: a disc of radius r holds π r² / (½√3) independent vertices, and the
    // middle of a quadratic fit to n points of a disc has variance 4/n.
    const independent = (Math.PI * radius * radius) / (Math.sqrt(3) / 2);
    const own = sigma * Math.min(1, Math.sqrt(4 / independent));
    low = Math.max(low, fitted - CONFIDENCE * own);
    high = Math.min(high, fitted + CONFIDENCE * own);
    if (low > high) break;
    value = fitted;
    error = own;
  }
  return { value, error };
}

/**
 * Least squares of a + b x + c y + d x² + e xy + f y² over a disc of `reach` cells; its value at the middle.
 * Undefined where too little of the disc is there, or too few cells.
 */
function quadraticAt({ values, columns, rows }: Grid, k: number, reach: number): number | undefined {
  const column = k % columns;
  const row = Math.floor(k / columns);
  const whole = Math.ceil(reach);
  const m = new Float64Array(42);
  const basis = new Float64Array(6);
  let count = 0;
  let cover = 0;
  for (let r = row - whole; r <= row + whole; r++) {
    for (let c = column - whole; c <= column + whole; c++) {
      const x = (c - column) / reach;
      const y = (r - row) / reach;
      if (x * x + y * y > 1) continue;
      cover++;
      if (r < 0 || r >= rows || c < 0 || c >= columns) continue;
      const v = values[r * columns + c];
      if (Number.isNaN(v)) continue;
      count++;
      basis[0] = 1;
      basis[1] = x;
      basis[2] = y;
      basis[3] = x * x;
      basis[4] = x * y;
      basis[5] = y * y;
      for (let i = 0; i < 6; i++) {
        for (let j = 0; j < 6; j++) m[7 * i + j] += basis[i] * basis[j];
        m[7 * i + 6] += basis[i] * v;
      }
    }
  }
  if (count < 9 || count < LEAST_COVER * cover) return undefined;
  return eliminate(m);
}

/** Gauss–Jordan with pivoting on 6 rows of 7; the first unknown. */
function eliminate(m: Float64Array): number | undefined {
  for (let i = 0; i < 6; i++) {
    let pivot = i;
    for (let r = i + 1; r < 6; r++) if (Math.abs(m[7 * r + i]) > Math.abs(m[7 * pivot + i])) pivot = r;
    if (Math.abs(m[7 * pivot + i]) < 1e-9) return undefined;
    if (pivot !== i) {
      for (let c = 0; c < 7; c++) [m[7 * i + c], m[7 * pivot + c]] = [m[7 * pivot + c], m[7 * i + c]];
    }
    for (let r = 0; r < 6; r++) {
      if (r === i) continue;
      const f = m[7 * r + i] / m[7 * i + i];
      for (let c = i; c < 7; c++) m[7 * r + c] -= f * m[7 * i + c];
    }
  }
  return m[6] / m[0];
}
