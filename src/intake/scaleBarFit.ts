import { leastSquares } from '../geometry/leastSquares.ts';
import type { Points2 } from '../geometry/types.ts';

export interface MeasuredBar {
  /** First and last edge between blocks on the bar's middle line: x0 y0 x1 y1, pixels. */
  readonly ends: Points2;
  /** Blocks between the ends. */
  readonly blocks: number;
  /** The outermost edges of blocks that are surely there, measured or not: x0 y0 x1 y1, pixels; and how many blocks lie between. */
  readonly outer: Points2;
  readonly certain: number;
  /** Mean length of a block, pixels, and its relative standard uncertainty. */
  readonly block: number;
  readonly relative: number;
  /** RMS of the edges about an even spacing, pixels. */
  readonly rms: number;
  /** Whether an end block ends before it is due. */
  readonly short: boolean;
  /** Light of its white and of its black blocks, linear 0…1; and whether a row of blocks of another length lies beside. */
  readonly white: number;
  readonly ink: number;
  readonly otherRow: boolean;
  /** Relative growth of a block from the first to the last. */
  readonly growth: number;
}

/** What its edges tell of a bar. */
export type FittedBar = Omit<MeasuredBar, 'white' | 'ink' | 'otherRow'>;

export interface Edge {
  /** Number of the edge along the bar. */
  readonly j: number;
  /** Distance along the middle line from the chain's first middle, pixels. */
  readonly at: number;
  /** Light grows along the bar: 1, or falls: −1. */
  readonly sign: number;
}

/** Fewer edges than this settle no bar: the first and the third alone are two whole blocks apart. */
const FEWEST_EDGES = 3;
/** An edge farther from even spacing than this share of a block, and this many pixels, belongs to something else. */
const [ASTRAY, ASTRAY_PX] = [0.008, 0.25];
/** What is expected before looking, as standard deviations: an edge's own error (pixels), ink that spread (pixels and
 * share of a block), and growth from end to end, of a camera held square by eye. */
const EXPECTED = { edge: 0.06, ink: 0.1, inkShare: 0.004, growth: 0.02 };
/** Greatest weighted sum of squares (3 standard deviations) of a bar with so few edges. */
const [FEW, BELIEVED] = [5, 9];
/** An end that falls short by this share of a block is none of a block's. */
const SHORT = 0.05;
/** Black blocks longer than white ones by more than this share of a block are no bar's. */
const GAIN = 0.08;
/**
 * Even spacing with what light and print add: edge j lies at a + b·j + s·d + g·(t² − t), where s·d moves falling and
 * rising edges apart by ink that spread, and g is the growth by perspective. What is expected of d and g holds them
 * where few edges tell them. Edges that stray are dropped from the ends inward.
 *
 * @param sure numbers of the first and the last edge of blocks that are there however far the fit reaches
 */
export function fitEdges(
  edges: readonly Edge[],
  place: (at: number) => readonly [number, number],
  block: number,
  sure: readonly [number, number],
  dropped: readonly Edge[] = [],
): FittedBar | undefined {
  if (edges.length < FEWEST_EDGES) return undefined;
  const j0 = edges[0].j;
  const span = edges[edges.length - 1].j - j0;
  const model = (p: Float64Array, t: number, sign: number): number =>
    block * (p[0] + p[1] * span * t + p[2] * sign + p[3] * span * (t * t - t));
  const ink = EXPECTED.ink / block + EXPECTED.inkShare;
  // All residuals in units of what is expected, so that the inverse of JᵀJ is the covariance.
  const fit = leastSquares(
    (p, out) => {
      for (const [i, { j, at, sign }] of edges.entries()) {
        out[i] = (model(p, (j - j0) / span, sign) - at) / EXPECTED.edge;
      }
      out[edges.length] = p[2] / ink;
      out[edges.length + 1] = (2 * p[3]) / EXPECTED.growth;
    },
    [0, 1, 0, 0],
    edges.length + 2,
  );
  if (fit === undefined) return undefined;
  const p = fit.parameters;
  const residuals = fit.residuals.slice(0, edges.length).map((value) => value * EXPECTED.edge);
  const worst = residuals.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  if (worst > Math.max(ASTRAY_PX, ASTRAY * block)) {
    const fewer = withoutWorstEnd(edges, residuals);
    const astray = edges.filter((edge) => !fewer.includes(edge));
    return fitEdges(fewer, place, block, sure, [...dropped, ...astray]);
  }
  const perBlock = block * p[1];
  if (Math.abs(2 * p[2] * block) > Math.max(1, GAIN * perBlock)) return undefined;
  // With few edges there is nothing to tell ink, growth and a wrong edge apart: what is not expected is not believed.
  if (edges.length <= FEW && fit.cost > BELIEVED) return undefined;
  const variance = Math.max(1, fit.cost / Math.max(1, edges.length - 2));
  const [from, to] = [place(model(p, 0, 0)), place(model(p, 1, 0))];
  // A frame's line lies outside of the last edge; what covers a block cuts it short.
  const short = dropped.some(({ j, at, sign }) => {
    const due = model(p, (j - j0) / span, sign);
    return (j < j0 ? at - due : due - at) > SHORT * perBlock;
  });
  const [least, most] = [Math.min(sure[0], j0), Math.max(sure[1], j0 + span)];
  const outer = [least, most].map((j) => place(model(p, (j - j0) / span, 0)));
  return {
    ends: Float64Array.of(...from, ...to),
    blocks: span,
    outer: Float64Array.from(outer.flat()),
    certain: most - least,
    short,
    block: perBlock,
    relative: Math.sqrt(variance * fit.inverse[1 * p.length + 1]) / p[1],
    rms: Math.sqrt(residuals.reduce((sum, value) => sum + value * value, 0) / edges.length),
    // The spacing's growth from the first block to the last: twice the quadratic's coefficient over the mean.
    growth: (2 * p[3]) / p[1],
  };
}

/** Without the end edge that strays more. */
function withoutWorstEnd(edges: readonly Edge[], residuals: Float64Array): readonly Edge[] {
  const last = edges.length - 1;
  return Math.abs(residuals[0]) > Math.abs(residuals[last]) ? edges.slice(1) : edges.slice(0, last);
}
