import type { BarChain } from './scaleBarChain.ts';
import { type Edge, type FittedBar, fitEdges, type MeasuredBar } from './scaleBarFit.ts';
import { robustLine } from './scaleCorners.ts';
import { edgeAlong, type Light } from './scaleLight.ts';

/** Lines along the bar on which edges are looked for, within this share of its width about the middle. */
const [LINES, WITHIN] = [21, 0.6];
/** Share of the lines that must meet an edge. */
const FOUND = 0.6;
/** Edges have at least this contrast: dark by so much of the lighter side. */
const CONTRAST = 0.3;
/** Where a block is looked at for its own light, shares of its length and of its width off its middle: numerals may be printed on it. */
const PLACES = [-0.3, 0, 0.3];
/** Farthest that is looked on either side of an edge, pixels, once its place is known to half a pixel. */
const CLOSE = 4;
/** The middle of a row beside lies so many widths of this one off; and in so many blocks of this one it must show its
 * own, dark below this share of the white. */
const [BESIDE, SAME, DARK] = [1, 3, 0.4];
/** At most so many edges are followed beyond a chain. */
const FURTHER = 60;
/** Edges are looked for within this share of a block of where the chain has them. */
const SEARCH = 0.15;
/** A line along the sides of white blocks makes a frame; it is looked for up to this share of a block outside. */
const FRAME = 0.12;
const FRAME_CONTRAST = 0.1;
/** Up to this share of the way from ink to white something may be ink. */
const INKY = 0.25;

/** A row of blocks in its own frame: pixels along its middle line from the first block's middle, and across. */
interface Bar {
  readonly light: Light;
  readonly block: number;
  readonly across: number;
}

/**
 * Finds the edges between the blocks of a chain to sub-pixel and fits an even spacing to them. Undefined where they are
 * too few or not evenly spaced: then the chain is not a bar.
 */
export function measureBar(image: Light, { middles, block, across }: BarChain): MeasuredBar | undefined {
  const n = middles.length / 2;
  const { x0, y0, dx, dy } = axisOf(middles);
  const light: Light = (at, off) => image(x0 + at * dx - off * dy, y0 + at * dy + off * dx);
  const bar: Bar = { light, block, across };
  const first = colourAt(bar, 0);
  if (first === 0) return undefined;
  // Edge 0 is where the first block begins: light rises there when the block is white.
  const edge = (j: number): Edge | undefined => {
    const sign = j % 2 === 0 ? first : -first;
    const at = edgeAt(bar, (j - 0.5) * block, sign);
    return at === undefined ? undefined : { j, at, sign };
  };
  const chain = Array.from({ length: 2 * n }, (_, j) => edge(j));
  const before = further(edge, -1, -1).reverse();
  const after = further(edge, 2 * n, 1);
  const edges = [...before, ...chain, ...after].filter((one) => one !== undefined);
  const [from, to] = [-before.length, 2 * n - 1 + after.length];
  const fitted = fitEdges(
    trustedEdges(bar, edges, from, to, first),
    (at) => [x0 + at * dx, y0 + at * dy],
    block,
    [0, 2 * n - 1],
  );
  if (fitted === undefined || !alternates(image, fitted, across)) return undefined;
  const [white, ink] = [first > 0 ? 0 : block, first > 0 ? block : 0].map((at) => light(at, 0));
  return { ...fitted, white, ink, otherRow: hasOtherRow(bar, from, to, white) };
}

/** The same of a chain, before its edges are looked for. */
export function isByTurns(image: Light, { middles, block, across }: BarChain): boolean {
  const { x0, y0, dx, dy } = axisOf(middles);
  const blocks = middles.length - 1;
  const at = (along: number): [number, number] => [x0 + along * block * dx, y0 + along * block * dy];
  return alternates(image, { ends: Float64Array.of(...at(-0.5), ...at(blocks - 0.5)), blocks }, across);
}

/** Whether the blocks of a bar are light and dark by turns inside too: lines across an even ground have edges alone. */
function alternates(
  image: Light,
  { ends: [x0, y0, x1, y1], blocks }: Pick<FittedBar, 'ends' | 'blocks'>,
  across: number,
): boolean {
  const [ex, ey] = [(x1 - x0) / blocks, (y1 - y0) / blocks];
  const wide = across / Math.hypot(ex, ey);
  const values = Array.from({ length: blocks }, (_, k) => {
    const inside = PLACES.flatMap((t) =>
      PLACES.map((off) =>
        image(x0 + (k + 0.5 + t) * ex - off * wide * ey, y0 + (k + 0.5 + t) * ey + off * wide * ex),
      ),
    );
    return inside.sort((a, b) => a - b)[inside.length >> 1];
  });
  const first = differ(values[0], values[1]);
  return values.every(
    (value, k) => k === 0 || differ(values[k - 1], value) === (k % 2 === 1 ? first : -first),
  );
}

/**
 * Whether a row of blocks twice or half as long lies beside the blocks from edge `from` to edge `to`: halves of blocks along a line beside are as dark
 * by turns as such a row's.
 */
function hasOtherRow({ light, block, across }: Bar, from: number, to: number, white: number): boolean {
  return [-BESIDE, BESIDE].some((side) => {
    const isDark = Array.from({ length: 2 * (to - from) }, (_, h) => {
      const at = (from + (h >> 1) + (h % 2 === 0 ? -0.25 : 0.25)) * block;
      return light(at, side * across) < DARK * white ? 1 : 0;
    });
    return [1, 4].some((run) => longestRuns(isDark, run) >= Math.max(2 * SAME, 2 * run));
  });
}

/** How many values in a row change every `run` of them, however they begin. */
function longestRuns(values: readonly number[], run: number): number {
  let most = 0;
  for (let phase = 0; phase < run; phase++) {
    let count = 0;
    for (let i = 1; i < values.length; i++) {
      const changes = values[i] !== values[i - 1];
      count = changes === ((i + phase) % run === 0) ? count + 1 : 0;
      most = Math.max(most, count);
    }
  }
  return most;
}

/** Edges of blocks beyond a chain that it missed, in shadow or under a glare: by two, for a whole block has both. */
function further(edge: (j: number) => Edge | undefined, first: number, step: 1 | -1): Edge[] {
  const found: Edge[] = [];
  for (let j = first; found.length < FURTHER; j += 2 * step) {
    const pair = [edge(j), edge(j + step)].filter((one) => one !== undefined);
    if (pair.length < 2) break;
    found.push(...pair);
  }
  return found;
}

/** The line through the blocks' middles: the first middle on it, and the unit direction towards the last. */
function axisOf(middles: Float64Array): { x0: number; y0: number; dx: number; dy: number } {
  const line = robustLine(middles);
  const last = middles.length - 2;
  const towards = line.dx * (middles[last] - middles[0]) + line.dy * (middles[last + 1] - middles[1]);
  const [dx, dy] = [Math.sign(towards) * line.dx, Math.sign(towards) * line.dy];
  const start = (middles[0] - line.x) * dx + (middles[1] - line.y) * dy;
  return { x0: line.x + start * dx, y0: line.y + start * dy, dx, dy };
}

/**
 * Edges without outermost ones that may be of something else. That of a white block is sure if a dark block follows.
 * That of a dark one may be the outer side of a frame's line, unless the frame goes on along another white block.
 */
function trustedEdges(
  bar: Bar,
  edges: readonly Edge[],
  from: number,
  to: number,
  first: number,
): readonly Edge[] {
  const { light, block } = bar;
  // Block k lies between the edges k and k + 1.
  const whites = Array.from({ length: to - from }, (_, k) => from + k).filter(
    (k) => (k % 2 === 0 ? first : -first) > 0,
  );
  const framed = whites.some((k) => hasFrame(bar, k * block, false));
  return edges.filter(({ j, sign }) => {
    if (j > from && j < to) return true;
    const beyond = (j === from ? from - 1 : to) * block;
    // Light rises along the bar where its first block is white, and falls where its last one is.
    if (sign > 0 === (j === from)) return isDarkBlock(bar, beyond);
    return !framed || (light(beyond, 0) > 0.6 * light(whites[0] * block, 0) && hasFrame(bar, beyond, true));
  });
}

/**
 * Whether there is a dark line along a side of the white block with its middle at `at`. With `asLine` paper must be seen
 * behind it: else it may be the backdrop behind the rim of a card. Without, what is as dark as ink may hide one.
 */
function hasFrame({ light, block, across }: Bar, at: number, asLine: boolean): boolean {
  // A mean along most of the block: a line thinner than a pixel is pale, and noise is not. Of its lighter half, which ticks that
  // stand across leave as it is.
  const mean = (off: number): number => {
    const along = Array.from({ length: 9 }, (_, k) => light(at + 0.07 * (k - 4) * block, off)).sort(
      (a, b) => b - a,
    );
    return (along[0] + along[1] + along[2] + along[3] + along[4]) / 5;
  };
  const white = mean(0);
  const ink = Math.min(light(at - block, 0), light(at + block, 0));
  const window = 0.1 * across + FRAME * block;
  const step = window / Math.ceil(4 * window);
  return [1, -1].some((side) => {
    if (!asLine && isOtherRow(side * across)) return false;
    let [dip, darkest, beyond] = [false, white, white];
    // Twice as far as a line may lie, to see whether paper goes on behind it.
    for (let off = 0.4 * across; off <= 0.5 * across + 2 * FRAME * block; off += step) {
      beyond = mean(side * off);
      if (off <= 0.5 * across + FRAME * block) darkest = Math.min(darkest, beyond);
      if (beyond < (1 - FRAME_CONTRAST) * white) dip ||= off <= 0.5 * across + FRAME * block;
      else if (dip) return true;
    }
    return dip && !asLine && (darkest < (1 - FRAME_CONTRAST) * beyond || beyond < ink + INKY * (white - ink));
  });

  /** Whether a second row of blocks lies beside, black where this one is white. */
  function isOtherRow(off: number): boolean {
    const black = light(at, off);
    return (
      black < ink + INKY * (white - ink) && [-block, block].every((by) => light(at + by, off) > 2 * black)
    );
  }
}

/** Whether the block round `at` is dark from a quarter to three quarters of it: more than a line. */
function isDarkBlock({ light, block }: Bar, at: number): boolean {
  const neighbours = Math.max(light(at + block, 0), light(at - block, 0));
  return [-0.25, 0, 0.25].every((t) => light(at + t * block, 0) < 0.6 * neighbours);
}

/** 1 for a block lighter than the next one, −1 for a darker one, 0 where they are alike. */
function colourAt({ light, block }: Bar, at: number): number {
  return differ(light(at, 0), light(at + block, 0));
}

/** 1 where one light is more than another, −1 where it is less, 0 where they are alike. */
function differ(one: number, other: number): number {
  if (one > 1.3 * other) return 1;
  return one < 0.77 * other ? -1 : 0;
}

/**
 * Where the edge near `at` crosses the middle line; undefined where too few lines meet it. It is looked for where the
 * lines' mean light changes most, and then close by only: beside a bar a card may end soon.
 */
function edgeAt({ light, block, across }: Bar, at: number, sign: number): number | undefined {
  const offs = Array.from({ length: LINES }, (_, k) => WITHIN * across * ((k + 0.5) / LINES - 0.5));
  const mean = (t: number): number => offs.reduce((sum, off) => sum + light(at + t, off), 0) / LINES;
  const reach = Math.max(2, Math.min(CLOSE, 0.25 * block));
  const coarse = at + steepest(mean, Math.max(3, SEARCH * block), sign);
  const points: number[] = [];
  for (const off of offs) {
    const edge = edgeAlong(light, coarse, off, 1, 0, reach, CONTRAST);
    if (edge !== undefined && Math.sign(edge.rise) === sign) points.push(coarse + edge.at, off);
  }
  if (points.length < 2 * FOUND * LINES) return undefined;
  const line = robustLine(Float64Array.from(points));
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
