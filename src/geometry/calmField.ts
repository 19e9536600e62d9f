import type { FacetSize } from './facetSizes.ts';
import { type Disc, quadraticDisc, type Side } from './fieldDisc.ts';
import { type Estimate, fuse, surest } from './fieldEstimate.ts';

/** A sampled surface over a square grid; NaN where there is none. Row-major, `columns` wide. */
export interface Grid {
  readonly values: Float32Array;
  readonly columns: number;
  readonly rows: number;
  readonly cell: number;
  /** Distance between independent samples under the cells (the mean edge of a mesh, say), in the unit of `cell`. */
  readonly grain: number;
  /** Where the surface is sampled off flat facets: their size at a cell, in the unit of `cell` squared. */
  readonly facets?: (column: number, row: number) => FacetSize;
}

export interface Calmed {
  readonly value: number;
  /** Standard error of `value` from noise. */
  readonly error: number;
  /** What flat facets cut off the surface there, put back in `value`; below zero in hollows. */
  readonly sag: number;
}

/** Standard errors that two discs may lie apart before the wider one is refused: of its bend a smaller one hardly tells, and what they lie apart leans one way. */
const WIDEN = 1.5;
/** A disc that is as wide as it may be is wrong by up to as much as would have had it refused, besides its noise. */
const BENT = Math.hypot(1, WIDEN);
/** Standard errors that a disc may lie off the sample itself, which may be one of many that was chosen for being high. */
const OUTLIER = 3;
/**
 * Of its bend over the length of a facet's edge, a top that is sampled off facets lacks this much: 0.03 where it is a crest,
 * 0.07 where it is a dome (Monte Carlo of jittered lattices).
 */
const CREST_CUT = 0.045;
/** Radii of the fits tried, in grains. */
const RADII = [1.5, 2.1, 3, 4];
/** Cells along a grain that a fit is made over at most: where a grain is coarser, the fits are finer than it. */
const MOST_PER_GRAIN = 16;
/** Directions of the lines that part a disc into halves. */
const DIRECTIONS = 8;

/**
 * A noisy sampled surface whose values can be had without noise.
 *
 * A quadratic is fitted to discs round a cell that widen as long as its value there agrees with all before
 * (intersection of confidence intervals, as in `adaptiveSmooth.ts`): a ridge keeps its height and a dome loses its
 * noise. What flat facets cut off the bend of the fit is put back. With sigma 0 every
 * value is the sample itself.
 */
export class CalmField {
  readonly grid: Grid;
  /** Standard deviation of a sample's noise. */
  readonly sigma: number;
  /** Cells along a grain, MOST_PER_GRAIN at most. */
  readonly perGrain: number;
  /** Whole discs, rising in radius. */
  private readonly discs: readonly Disc[];
  /** Half-discs on either side of lines in several directions, each rising in radius. */
  private readonly halves: readonly (readonly [readonly Disc[], readonly Disc[]])[];

  constructor(grid: Grid, sigma: number) {
    this.grid = grid;
    this.sigma = sigma;
    this.perGrain = Math.min(MOST_PER_GRAIN, Math.max(grid.grain, grid.cell) / grid.cell);
    const radii = sigma > 0 ? RADII : [];
    const within = (side: Side | undefined): Disc[] =>
      radii.flatMap((radius) => quadraticDisc(radius * this.perGrain, this.perGrain, grid.columns, side));
    this.discs = within(undefined);
    this.halves = Array.from({ length: DIRECTIONS }, (_, i) => {
      const angle = (Math.PI * i) / DIRECTIONS;
      const side: Side = [Math.cos(angle), Math.sin(angle)];
      return [within(side), within([-side[0], -side[1]])] as const;
    });
  }

  /** The value at a cell; undefined where the cell is empty. */
  at(column: number, row: number): Calmed | undefined {
    const { values, columns, rows } = this.grid;
    if (column < 0 || row < 0 || column >= columns || row >= rows) return undefined;
    const sample = values[row * columns + column];
    if (Number.isNaN(sample)) return undefined;
    const whole = this.widen(this.discs, column, row, sample);
    const { value, error } = this.uncreased(whole, column, row, sample);
    const sag = this.sagUnder(whole.disc, column, row);
    return { value: value + sag, error, sag };
  }

  /** The whole discs' estimate, or that of two halves where it is surer or contradicts it. */
  private uncreased(whole: Estimate, column: number, row: number, sample: number): Estimate {
    if (this.nothingRefused(whole)) return whole;
    const creased: Estimate[] = [];
    for (const [one, other] of this.halves) {
      const a = this.widen(one, column, row, sample);
      const b = this.widen(other, column, row, sample);
      // At a brink one half is not there, and the sample alone, which was chosen for being high, is no match for the other.
      const fused = a.bare === b.bare ? fuse(a, b) : a.bare ? b : a;
      if (fused !== undefined) creased.push(fused);
    }
    // Some disc was refused: the last that was not may bend with what the next one met, and its halves less.
    const { value, error } = surest(creased) ?? whole;
    return { value, error: BENT * error };
  }

  /** The estimate by the widest disc that agrees with all narrower ones and with the sample itself. */
  private widen(
    discs: readonly Disc[],
    column: number,
    row: number,
    sample: number,
  ): Estimate & { readonly bare: boolean; readonly disc: Disc | undefined } {
    let bare = true;
    let used: Disc | undefined;
    let value = sample;
    let error = this.sigma;
    let low = value - OUTLIER * error;
    let high = value + OUTLIER * error;
    for (const disc of discs) {
      const fitted = this.apply(disc, column, row);
      // Where part of a disc is missing, wider ones lack more.
      if (Number.isNaN(fitted)) break;
      bare = false;
      const own = this.sigma * disc.share;
      low = Math.max(low, fitted - WIDEN * own);
      high = Math.min(high, fitted + WIDEN * own);
      if (low > high) break;
      if (own > error) continue;
      value = fitted;
      error = own;
      used = disc;
    }
    return { value, error, bare, disc: used };
  }

  /** Mean height by which flat facets lie below a surface that bends as the fit over a disc does. */
  private sagUnder(disc: Disc | undefined, column: number, row: number): number {
    const { facets, values, columns, cell } = this.grid;
    if (facets === undefined || this.sigma === 0) return 0;
    const { xx, xy, yy } = facets(column, row);
    // Sums over three edges: of like ones, each square is as long as half the sum along x and along y.
    if (disc === undefined) return CREST_CUT * this.bend(column, row, Math.sqrt((xx + yy) / 3));
    const { offset, bend } = disc;
    const fxx = bend[0];
    const fxy = bend[1];
    const fyy = bend[2];
    const k = row * columns + column;
    let sum = 0;
    for (let i = 0; i < offset.length; i++) {
      sum += (xx * fxx[i] + 2 * xy * fxy[i] + yy * fyy[i]) * values[k + offset[i]];
    }
    return -sum / 24 / (cell * cell);
  }

  /**
   * How far the samples fall to both sides within a step, in the unit of `cell`, along rows and along columns together:
   * positive on tops. What noise alone would show is taken off the square of what they show.
   */
  bend(column: number, row: number, step: number): number {
    const { values, columns, rows, cell } = this.grid;
    const cells = Math.max(1, Math.round(step / cell));
    const at = (c: number, r: number): number =>
      c < 0 || r < 0 || c >= columns || r >= rows ? NaN : values[r * columns + c];
    const along = (dc: number, dr: number): number => {
      const falls = 2 * at(column, row) - at(column + dc, row + dr) - at(column - dc, row - dr);
      // Weights 2, −1, −1: six times the variance of a sample, which between vertices is half of theirs.
      const beyond = falls * falls - 3 * this.sigma * this.sigma;
      return beyond > 0 ? Math.sign(falls) * Math.sqrt(beyond) : 0;
    };
    return along(cells, 0) + along(0, cells);
  }

  /**
   * Nothing is creased at a place, nor a grain away from it: beside a step the mean is highest off a crease, where a disc may
   * hold nothing but its flank.
   */
  isSmoothAbout(column: number, row: number): boolean {
    const step = Math.max(1, Math.round(this.perGrain));
    for (let i = 0; i < 9; i++) {
      const c = column + step * ((i % 3) - 1);
      const r = row + step * (Math.floor(i / 3) - 1);
      if (c < 0 || r < 0 || c >= this.grid.columns || r >= this.grid.rows) continue;
      if (!Number.isNaN(this.grid.values[r * this.grid.columns + c]) && !this.isSmooth(c, r)) return false;
    }
    return true;
  }

  /** No disc is refused: nothing here is creased. */
  private isSmooth(column: number, row: number): boolean {
    const sample = this.grid.values[row * this.grid.columns + column];
    return this.nothingRefused(this.widen(this.discs, column, row, sample));
  }

  private nothingRefused({ error }: Estimate): boolean {
    return error <= (this.discs.at(-1)?.share ?? 1) * this.sigma;
  }

  /** Weighted sum of a whole disc; NaN where a cell of it is empty or beyond the grid. */
  private apply(disc: Disc, column: number, row: number): number {
    const { values, columns, rows } = this.grid;
    const { left, right, below, above, offset, weight } = disc;
    if (column < left || row < below || column + right >= columns || row + above >= rows) return NaN;
    const k = row * columns + column;
    let sum = 0;
    for (let i = 0; i < offset.length; i++) sum += weight[i] * values[k + offset[i]];
    return sum;
  }
}
