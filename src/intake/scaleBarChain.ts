import type { Points2 } from '../geometry/types.ts';

/** Blocks of one colour in a row, each as far from the next as it is long. */
export interface BarChain {
  /** Middles of the blocks, x y pairs, in order along the bar. */
  readonly middles: Points2;
  /** Length of a block along the bar and its width across, pixels. */
  readonly block: number;
  readonly across: number;
}

/** How far a block may depart from what its neighbour says: along the bar, in size, and off the line. */
const [SPACING, SIZE, OFF] = [0.15, 0.2, 0.15];
/** Fewer blocks of one colour than this are no bar. */
const FEWEST = 2;

interface Block {
  readonly x: number;
  readonly y: number;
  /** Unit direction along one pair of sides, the sides' mean length, and that of the other pair. */
  readonly dx: number;
  readonly dy: number;
  readonly along: number;
  readonly across: number;
}

/** Rows of equal quadrilaterals at even distances, the longest first. */
export function barChains(quads: readonly Points2[]): BarChain[] {
  const blocks = quads.flatMap(bothWays);
  const near = placesOf(blocks);
  const next = blocks.map((block) => firstFollowing(block, blocks, near));
  const followed = new Set(next);
  const chains: BarChain[] = [];
  for (let start = 0; start < blocks.length; start++) {
    if (followed.has(start)) continue;
    const row: Block[] = [];
    for (let i = start; i >= 0 && row.length < blocks.length; i = next[i]) row.push(blocks[i]);
    if (row.length >= FEWEST) chains.push(chainOf(row));
  }
  return chains.sort((a, b) => b.middles.length - a.middles.length);
}

/** A quadrilateral as a block along one pair of its sides and along the other; always pointing to the right or down. */
function bothWays(q: Points2): Block[] {
  const x = (q[0] + q[2] + q[4] + q[6]) / 4;
  const y = (q[1] + q[3] + q[5] + q[7]) / 4;
  const sides = [0, 2].map((i) => {
    const ex = (q[i + 2] - q[i] + q[i + 4] - q[(i + 6) & 7]) / 2;
    const ey = (q[i + 3] - q[i + 1] + q[i + 5] - q[(i + 7) & 7]) / 2;
    const sign = ex > 0 || (ex === 0 && ey > 0) ? 1 : -1;
    const length = Math.hypot(ex, ey);
    return { dx: (sign * ex) / length, dy: (sign * ey) / length, length };
  });
  return sides.map(({ dx, dy, length }, i) => ({ x, y, dx, dy, along: length, across: sides[1 - i].length }));
}

/** Side of the squares by which blocks are looked up, pixels. */
const SQUARE = 64;

/** Numbers of the blocks with their middle in each square of the picture, in order. */
type Places = ReadonlyMap<number, ReadonlyMap<number, readonly number[]>>;

function placesOf(blocks: readonly Block[]): Places {
  const places = new Map<number, Map<number, number[]>>();
  for (const [i, { x, y }] of blocks.entries()) {
    const [u, v] = [Math.floor(x / SQUARE), Math.floor(y / SQUARE)];
    const row = places.get(v) ?? new Map<number, number[]>();
    places.set(v, row);
    const square = row.get(u) ?? [];
    row.set(u, square);
    square.push(i);
  }
  return places;
}

/** The first block that follows one, or −1: it is looked for about where it is due, not among all of a graph paper's squares. */
function firstFollowing(block: Block, blocks: readonly Block[], places: Places): number {
  const reach = 2 * SPACING * block.along + OFF * Math.max(block.along, block.across);
  const [x, y] = [block.x + 2 * block.along * block.dx, block.y + 2 * block.along * block.dy];
  let first = blocks.length;
  for (let v = Math.floor((y - reach) / SQUARE); v <= Math.floor((y + reach) / SQUARE); v++) {
    const row = places.get(v);
    if (row === undefined) continue;
    for (let u = Math.floor((x - reach) / SQUARE); u <= Math.floor((x + reach) / SQUARE); u++) {
      for (const i of row.get(u) ?? []) if (i < first && follows(block, blocks[i])) first = i;
    }
  }
  return first === blocks.length ? -1 : first;
}

function follows(a: Block, b: Block): boolean {
  const [ux, uy] = [b.x - a.x, b.y - a.y];
  const along = ux * a.dx + uy * a.dy;
  return (
    Math.abs(along / (2 * a.along) - 1) < SPACING &&
    Math.abs(ux * a.dy - uy * a.dx) < OFF * Math.max(a.along, a.across) &&
    Math.abs(b.along / a.along - 1) < SIZE &&
    Math.abs(b.across / a.across - 1) < SIZE &&
    a.dx * b.dx + a.dy * b.dy > 0.98
  );
}

function chainOf(row: readonly Block[]): BarChain {
  const [first, last] = [row[0], row[row.length - 1]];
  return {
    middles: Float64Array.from(row.flatMap(({ x, y }) => [x, y])),
    block: Math.hypot(last.x - first.x, last.y - first.y) / (2 * (row.length - 1)),
    across: row.reduce((sum, { across }) => sum + across / row.length, 0),
  };
}
