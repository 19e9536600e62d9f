/**
 * A run of a curve seen in one plane: heights `z` over abscissae `y`, every piece between neighbours weighted by
 * `weight` (its length, say). Runs are lists of such pieces; the pieces of several runs may be fitted together.
 */
export interface HeightRun {
  readonly y: Float64Array;
  readonly z: Float64Array;
  /** One less than points. */
  readonly weight: Float64Array;
}

/** z = level + slope · y. */
export interface HeightLine {
  readonly level: number;
  readonly slope: number;
}

/**
 * The line of least squared height difference to all runs, exact for straight pieces (∫yz over a piece is
 * (y₀z₀ + y₁z₁ + (y₀+y₁)(z₀+z₁))/6). Null where the runs have no extent along y.
 */
export function fitHeightLine(runs: readonly HeightRun[]): HeightLine | null {
  let w = 0;
  let sy = 0;
  let sz = 0;
  let yy = 0;
  let yz = 0;
  for (const run of runs) {
    for (let i = 0; i < run.weight.length; i++) {
      const k = run.weight[i];
      const y0 = run.y[i];
      const y1 = run.y[i + 1];
      const z0 = run.z[i];
      const z1 = run.z[i + 1];
      w += k;
      sy += (k * (y0 + y1)) / 2;
      sz += (k * (z0 + z1)) / 2;
      yy += (k * (y0 * y0 + y1 * y1 + (y0 + y1) * (y0 + y1))) / 6;
      yz += (k * (y0 * z0 + y1 * z1 + (y0 + y1) * (z0 + z1))) / 6;
    }
  }
  if (!(w > 0)) return null;
  const spread = yy / w - (sy / w) ** 2;
  if (!(spread > 1e-12 * (yy / w))) return null;
  const slope = (yz / w - (sy / w) * (sz / w)) / spread;
  return { level: sz / w - (slope * sy) / w, slope };
}

/** Heights of a run above the line, one for each point. */
export function heightsAbove(run: HeightRun, line: HeightLine): Float64Array {
  return run.z.map((z, i) => z - line.level - line.slope * run.y[i]);
}

/** Weighted mean square of values that run straight between points: ∫r² over a piece is (r₀² + r₀r₁ + r₁²)/3. */
export function meanSquare(values: readonly Float64Array[], runs: readonly HeightRun[]): number {
  let sum = 0;
  let w = 0;
  runs.forEach((run, k) => {
    const r = values[k];
    for (let i = 0; i < run.weight.length; i++) {
      sum += (run.weight[i] * (r[i] * r[i] + r[i] * r[i + 1] + r[i + 1] * r[i + 1])) / 3;
      w += run.weight[i];
    }
  });
  return sum / w;
}

/** How often the values change sign, counting a change only once they pass `band` beyond zero on the other side. */
export function signChanges(values: Float64Array, band: number): number {
  let sign = 0;
  let changes = 0;
  for (const v of values) {
    if (Math.abs(v) <= band) continue;
    const now = Math.sign(v);
    if (sign !== 0 && now !== sign) changes++;
    sign = now;
  }
  return changes;
}
