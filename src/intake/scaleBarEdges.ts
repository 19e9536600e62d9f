import { leastSquares, quadraticForm } from '../geometry/leastSquares.ts';
import type { Points2 } from '../geometry/types.ts';
import type { BarChain } from './scaleBarChain.ts';
import { robustLine } from './scaleCorners.ts';
import { edgeAlong, type Light } from './scaleLight.ts';

export interface MeasuredBar {
  /** First and last edge between blocks on the bar's middle line: x0 y0 x1 y1, pixels. */
  readonly ends: Points2;
  /** Blocks between the ends. */
  readonly blocks: number;
  /** Mean length of a block, pixels, and its relative standard uncertainty. */
  readonly block: number;
  readonly relative: number;
  /** RMS of the edges about an even spacing, pixels. */
  readonly rms: number;
  /** Relative growth of a block from the first to the last. */
  readonly growth: number;
}

/** Lines along the bar on which edges are looked for, within this share of its width about the middle. */
const [LINES, WITHIN] = [21, 0.6];
/** Share of the lines that must meet an edge. */
const FOUND = 0.6;
/** Edges have at least this contrast: dark by so much of the lighter side. */
const CONTRAST = 0.3;
const FARTHEST = 12;
/** Fewer edges than this settle no bar: two blocks of one colour have four. */
const FEWEST_EDGES = 4;
/** An edge farther from even spacing than this share of a block, and this many pixels, belongs to something else. */
const [ASTRAY, ASTRAY_PX] = [0.012, 0.3];
/** Black blocks longer than white ones by more than this share of a block are no bar's. */
const GAIN = 0.08;

interface Edge {
  /** Number of the edge along the bar. */
  readonly j: number;
  /** Distance along the middle line from the chain's first middle, pixels. */
  readonly at: number;
  /** Light grows along the bar: 1, or falls: −1. */
  readonly sign: number;
}

/**
 * Finds the edges between the blocks of a chain, and those of further blocks at both ends, to sub-pixel. Undefined
 * where they are too few or not evenly spaced: then the chain is not a bar.
 */
export function measureBar(light: Light, { middles, block, across }: BarChain): MeasuredBar | undefined {
  const line = robustLine(middles);
  const n = middles.length / 2;
  const forward =
    line.dx * (middles[2 * n - 2] - middles[0]) + line.dy * (middles[2 * n - 1] - middles[1]) > 0 ? 1 : -1;
  const [dx, dy] = [forward * line.dx, forward * line.dy];
  const start = (middles[0] - line.x) * dx + (middles[1] - line.y) * dy;
  const [x0, y0] = [line.x + start * dx, line.y + start * dy];
  const find = (j: number, at: number, sign: number): Edge | undefined => {
    const found = edgeAt(light, x0 + at * dx, y0 + at * dy, dx, dy, block, across, sign);
    return found === undefined ? undefined : { j, at: at + found, sign };
  };
  const first = colourAt(light, x0, y0, dx, dy, block);
  if (first === 0) return undefined;
  // Edge 0 is where the chain's first block begins: light falls there when the block is dark.
  const edges: Edge[] = [];
  for (let j = 0; j < 2 * n; j++) {
    const edge = find(j, (j - 0.5) * block, j % 2 === 0 ? first : -first);
    if (edge !== undefined) edges.push(edge);
  }
  return fitEdges(edges, (at) => [x0 + at * dx, y0 + at * dy], block);
}

/** 1 for a block lighter than what lies before and after it, −1 for a darker one, 0 for neither. */
function colourAt(light: Light, x: number, y: number, dx: number, dy: number, block: number): number {
  const here = light(x, y);
  const before = light(x - block * dx, y - block * dy);
  const after = light(x + block * dx, y + block * dy);
  if (here > 1.3 * Math.max(before, after)) return 1;
  return here < 0.77 * Math.min(before, after) ? -1 : 0;
}

/** The edge near (x, y) as an offset along the bar on its middle line; undefined where too few lines meet it. */
function edgeAt(
  light: Light,
  x: number,
  y: number,
  dx: number,
  dy: number,
  block: number,
  across: number,
  sign: number,
): number | undefined {
  const reach = Math.max(2, Math.min(FARTHEST, 0.45 * block));
  const points: number[] = [];
  for (let k = 0; k < LINES; k++) {
    const off = WITHIN * across * ((k + 0.5) / LINES - 0.5);
    const edge = edgeAlong(light, x - off * dy, y + off * dx, dx, dy, reach, CONTRAST);
    if (edge !== undefined && Math.sign(edge.rise) === sign) points.push(edge.at, off);
  }
  if (points.length < 2 * FOUND * LINES) return undefined;
  const line = robustLine(Float64Array.from(points));
  // Where the fitted edge crosses the middle line, off = 0.
  return Math.abs(line.dy) < 0.5 ? undefined : line.x - (line.y / line.dy) * line.dx;
}

/**
 * Even spacing with what print and light add: edge j lies at a + b·j + g·j² + s·d, where g is the growth by perspective
 * and s·d moves falling and rising edges apart by ink that spread. Edges that stray are dropped from the ends inward.
 */
function fitEdges(
  edges: readonly Edge[],
  place: (at: number) => readonly [number, number],
  block: number,
): MeasuredBar | undefined {
  if (edges.length < FEWEST_EDGES) return undefined;
  const grows = edges.length >= 6;
  const j0 = edges[0].j;
  const span = edges[edges.length - 1].j - j0;
  const model = (p: Float64Array, t: number, sign: number): number =>
    block * (p[0] + p[1] * span * t + p[2] * sign + (grows ? p[3] * span * (t * t - t) : 0));
  const fit = leastSquares(
    (p, out) => {
      for (const [i, { j, at, sign }] of edges.entries()) out[i] = model(p, (j - j0) / span, sign) - at;
    },
    grows ? [0, 1, 0, 0] : [0, 1, 0],
    edges.length,
  );
  if (fit === undefined) return undefined;
  const { parameters: p, residuals } = fit;
  const worst = residuals.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  if (worst > Math.max(ASTRAY_PX, ASTRAY * block))
    return fitEdges(withoutWorstEnd(edges, residuals), place, block);
  const perBlock = block * p[1];
  if (Math.abs(2 * p[2] * block) > Math.max(1, GAIN * perBlock)) return undefined;
  // The spacing's growth from the first block to the last: twice the quadratic's coefficient over the mean.
  const growth = grows ? (2 * p[3]) / p[1] : 0;
  const variance = fit.cost / Math.max(1, edges.length - p.length);
  const direction = p.map((_, i) => (i === 1 ? 1 : 0));
  const [from, to] = [place(model(p, 0, 0)), place(model(p, 1, 0))];
  return {
    ends: Float64Array.of(...from, ...to),
    blocks: span,
    block: perBlock,
    relative: Math.sqrt(variance * quadraticForm(fit.inverse, direction)) / p[1],
    rms: Math.sqrt(fit.cost / edges.length),
    growth,
  };
}

/** Without the end edge that strays more. */
function withoutWorstEnd(edges: readonly Edge[], residuals: Float64Array): readonly Edge[] {
  const last = edges.length - 1;
  return Math.abs(residuals[0]) > Math.abs(residuals[last]) ? edges.slice(1) : edges.slice(0, last);
}
