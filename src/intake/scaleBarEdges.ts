import { leastSquares } from '../geometry/leastSquares.ts';
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
/** Farthest that is looked on either side of an edge, pixels, once its place is known to half a pixel. */
const CLOSE = 4;
/** Edges are looked for within this share of a block of where the chain has them. */
const SEARCH = 0.15;
/** Fewer edges than this settle no bar: the first and the third alone are two whole blocks apart. */
const FEWEST_EDGES = 3;
/** An edge farther from even spacing than this share of a block, and this many pixels, belongs to something else. */
const [ASTRAY, ASTRAY_PX] = [0.008, 0.25];
/** What is expected before looking, as standard deviations: an edge's own error (pixels), ink that spread (pixels and
 * share of a block), and growth from end to end, of a camera held square by eye. */
const EXPECTED = { edge: 0.06, ink: 0.1, inkShare: 0.004, growth: 0.02 };
/** Greatest weighted sum of squares (3 standard deviations) of a bar with so few edges. */
const [FEW, BELIEVED] = [5, 9];
/** Black blocks longer than white ones by more than this share of a block are no bar's. */
const GAIN = 0.08;
/** A line along the sides of white blocks makes a frame; it is looked for up to this share of a block outside. */
const FRAME = 0.12;
const FRAME_CONTRAST = 0.1;

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
  const place = (at: number): [number, number] => [x0 + at * dx, y0 + at * dy];
  const whites = Array.from({ length: first > 0 ? n : n - 1 }, (_, i) =>
    place((2 * i + (first > 0 ? 0 : 1)) * block),
  );
  const framed = whites.some(([x, y]) => hasFrame(light, x, y, dx, dy, block, across, false));
  const trusted = edges.filter(({ j }) => {
    if (j > 0 && j < 2 * n - 1) return true;
    const beyond = place((j === 0 ? -1 : 2 * n - 1) * block);
    // The outer edge of a white block is sure if a dark one follows. That of a dark one may be a frame's own line,
    // unless the frame goes on.
    if (first > 0) return isDarkBlock(light, beyond, dx, dy, block);
    const white = light(...whites[0]);
    return (
      !framed || (light(...beyond) > 0.6 * white && hasFrame(light, ...beyond, dx, dy, block, across, true))
    );
  });
  return fitEdges(trusted, place, block);
}

/**
 * Whether there is a dark line along a side of the white block in the middle of which is (x, y). With `asLine` paper
 * must be seen behind it: else it may be the backdrop behind the rim of a card.
 */
function hasFrame(
  light: Light,
  x: number,
  y: number,
  dx: number,
  dy: number,
  block: number,
  across: number,
  asLine: boolean,
): boolean {
  // The mean along most of the block: a line thinner than a pixel is pale, and noise is not.
  const mean = (off: number): number => {
    let sum = 0;
    for (let k = -4; k <= 4; k++)
      sum += light(x + 0.07 * k * block * dx - off * dy, y + 0.07 * k * block * dy + off * dx);
    return sum / 9;
  };
  const white = mean(0);
  const step = (0.1 * across + FRAME * block) / Math.ceil(4 * (0.1 * across + FRAME * block));
  return [1, -1].some((side) => {
    let dip = false;
    // Twice as far as a line may lie, to see whether paper goes on behind it.
    for (let off = 0.4 * across; off <= 0.5 * across + 2 * FRAME * block; off += step) {
      const bright = mean(side * off) / white;
      if (bright < 1 - FRAME_CONTRAST) dip ||= off <= 0.5 * across + FRAME * block;
      else if (dip) return true;
    }
    return dip && !asLine;
  });
}

/** Whether the block round a place is dark from a quarter to three quarters of it: more than a line. */
function isDarkBlock(
  light: Light,
  [x, y]: readonly [number, number],
  dx: number,
  dy: number,
  block: number,
): boolean {
  const white = light(x + block * dx, y + block * dy);
  const other = light(x - block * dx, y - block * dy);
  return [-0.25, 0, 0.25].every(
    (t) => light(x + t * block * dx, y + t * block * dy) < 0.6 * Math.max(white, other),
  );
}

/** 1 for a block lighter than the next one, −1 for a darker one, 0 where they are alike. */
function colourAt(light: Light, x: number, y: number, dx: number, dy: number, block: number): number {
  const here = light(x, y);
  const after = light(x + block * dx, y + block * dy);
  if (here > 1.3 * after) return 1;
  return here < 0.77 * after ? -1 : 0;
}

/**
 * The edge near (x, y) as an offset along the bar on its middle line; undefined where too few lines meet it. It is
 * looked for where the lines' mean light changes most, and then close by only: beside a bar a card may end soon.
 */
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
  const offs = Array.from({ length: LINES }, (_, k) => WITHIN * across * ((k + 0.5) / LINES - 0.5));
  const mean = (t: number): number =>
    offs.reduce((sum, off) => sum + light(x + t * dx - off * dy, y + t * dy + off * dx), 0) / LINES;
  const reach = Math.max(2, Math.min(CLOSE, 0.25 * block));
  const coarse = steepest(mean, Math.max(3, SEARCH * block), sign);
  const points: number[] = [];
  for (const off of offs) {
    const [px, py] = [x + coarse * dx - off * dy, y + coarse * dy + off * dx];
    const edge = edgeAlong(light, px, py, dx, dy, reach, CONTRAST);
    if (edge !== undefined && Math.sign(edge.rise) === sign) points.push(coarse + edge.at, off);
  }
  if (points.length < 2 * FOUND * LINES) return undefined;
  const line = robustLine(Float64Array.from(points));
  // Where the fitted edge crosses the middle line, off = 0.
  return Math.abs(line.dy) < 0.5 ? undefined : line.x - (line.y / line.dy) * line.dx;
}

/** Where a profile rises (sign 1) or falls (−1) most within ±`search`, to half a pixel. */
function steepest(profile: (t: number) => number, search: number, sign: number): number {
  const steps = 2 * Math.ceil(search);
  const values = Array.from({ length: 2 * steps + 3 }, (_, i) => profile((i - steps - 1) / 2));
  let [best, at] = [-Infinity, 0];
  for (let i = 1; i < values.length - 1; i++) {
    const rise = sign * (values[i + 1] - values[i - 1]);
    if (rise > best) [best, at] = [rise, (i - steps - 1) / 2];
  }
  return at;
}

/**
 * Even spacing with what light and print add: edge j lies at a + b·j + s·d + g·(t² − t), where s·d moves falling and
 * rising edges apart by ink that spread, and g is the growth by perspective. What is expected of d and g holds them
 * where few edges tell them. Edges that stray are dropped from the ends inward.
 */
function fitEdges(
  edges: readonly Edge[],
  place: (at: number) => readonly [number, number],
  block: number,
): MeasuredBar | undefined {
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
  if (worst > Math.max(ASTRAY_PX, ASTRAY * block))
    return fitEdges(withoutWorstEnd(edges, residuals), place, block);
  const perBlock = block * p[1];
  if (Math.abs(2 * p[2] * block) > Math.max(1, GAIN * perBlock)) return undefined;
  // With few edges there is nothing to tell ink, growth and a wrong edge apart: what is not expected is not believed.
  if (edges.length <= FEW && fit.cost > BELIEVED) return undefined;
  const variance = Math.max(1, fit.cost / Math.max(1, edges.length - 2));
  const [from, to] = [place(model(p, 0, 0)), place(model(p, 1, 0))];
  return {
    ends: Float64Array.of(...from, ...to),
    blocks: span,
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
