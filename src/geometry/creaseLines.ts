import { smoothField } from './fieldSmooth.ts';
import type { Points2 } from './types.ts';

export interface CreaseSettings {
  /** Width of the Gaussian that the surface is seen through, in cells. */
  readonly sigma: number;
  /** Curvature across a crease (1 / unit of height): where a line may start, and how far it may fade before it ends. */
  readonly strong: number;
  readonly weak: number;
  /** Cells without a line around whatever is empty. */
  readonly rim: number;
  /** Shortest line, in cells. */
  readonly shortest: number;
}

/** Curvature across the sharpest convex bend at each cell, and the direction across it. NaN where not to be had. */
interface Bend {
  readonly strength: Float32Array;
  readonly across: Float32Array;
}

/**
 * Lines along convex creases of a height grid: cells where the surface bends down hardest, compared with their
 * neighbours across the bend (non-maximum suppression with two thresholds, after Canny 1986), linked and smoothed.
 * Points are column and row, fractional. Heights and cells share one unit; `cell` is the size of a cell in it.
 */
export function creaseLines(
  heights: Float32Array,
  columns: number,
  cell: number,
  settings: CreaseSettings,
): Points2[] {
  const bend = bendOf(smoothField(heights, columns, settings.sigma), heights, columns, cell, settings.rim);
  const crest = crestOf(bend, columns, settings.weak);
  const starts = Array.from(crest.keys())
    .filter((k) => crest[k] === 1 && bend.strength[k] >= settings.strong)
    .sort((a, b) => bend.strength[b] - bend.strength[a] || a - b);
  const lines: Points2[] = [];
  for (const start of starts) {
    if (crest[start] !== 1) continue;
    crest[start] = 2;
    const forth = walk(start, crest, bend, columns, 1);
    const back = walk(start, crest, bend, columns, -1);
    const cells = [...back.reverse(), start, ...forth];
    if (cells.length >= settings.shortest) lines.push(smoothLine(cells, columns));
  }
  return lines;
}

function bendOf(
  smooth: Float32Array,
  heights: Float32Array,
  columns: number,
  cell: number,
  rim: number,
): Bend {
  const rows = heights.length / columns;
  const strength = new Float32Array(heights.length).fill(NaN);
  const across = new Float32Array(heights.length);
  const inverse = 1 / (cell * cell);
  const turns = Array.from({ length: 12 }, (_, i) => [
    Math.round(rim * Math.cos((i * Math.PI) / 6)),
    Math.round(rim * Math.sin((i * Math.PI) / 6)),
  ]);
  for (let row = rim; row < rows - rim; row++) {
    for (let column = rim; column < columns - rim; column++) {
      const k = row * columns + column;
      if (Number.isNaN(heights[k])) continue;
      if (turns.some(([dx, dy]) => Number.isNaN(heights[k + dy * columns + dx]))) continue;
      const h = smooth[k];
      const xx = (smooth[k - 1] + smooth[k + 1] - 2 * h) * inverse;
      const yy = (smooth[k - columns] + smooth[k + columns] - 2 * h) * inverse;
      const diagonal =
        smooth[k + columns + 1] - smooth[k + columns - 1] - smooth[k - columns + 1] + smooth[k - columns - 1];
      const xy = diagonal * 0.25 * inverse;
      strength[k] = Math.hypot((xx - yy) / 2, xy) - (xx + yy) / 2;
      // The direction of the least second derivative is square to that of the greatest.
      across[k] = 0.5 * Math.atan2(2 * xy, xx - yy) + Math.PI / 2;
    }
  }
  return { strength, across };
}

/** 1 where no neighbour across the bend is stronger. */
function crestOf({ strength, across }: Bend, columns: number, weak: number): Uint8Array {
  const crest = new Uint8Array(strength.length);
  for (let k = 0; k < strength.length; k++) {
    if (!(strength[k] >= weak)) continue;
    const step = Math.round(Math.sin(across[k])) * columns + Math.round(Math.cos(across[k]));
    if (strength[k] > strength[k - step] && strength[k] >= strength[k + step]) crest[k] = 1;
  }
  return crest;
}

/** Cells of a crest from one on, marked as taken, always nearly straight on; gaps of one cell are crossed. */
function walk(start: number, crest: Uint8Array, { across }: Bend, columns: number, sense: 1 | -1): number[] {
  const cells: number[] = [];
  let at = start;
  let heading = across[start] + (sense * Math.PI) / 2;
  for (;;) {
    let best = -1;
    let bestCost = Infinity;
    for (let dy = -2; dy <= 2; dy++) {
      for (let dx = -2; dx <= 2; dx++) {
        const k = at + dy * columns + dx;
        if (crest[k] !== 1) continue;
        const turn = Math.abs(
          Math.atan2(Math.sin(Math.atan2(dy, dx) - heading), Math.cos(Math.atan2(dy, dx) - heading)),
        );
        const cost = Math.hypot(dx, dy) + turn;
        if (turn < 1.2 && cost < bestCost) [best, bestCost] = [k, cost];
      }
    }
    if (best < 0) return cells;
    const dy = Math.round((best - at) / columns);
    const dx = best - at - dy * columns;
    heading +=
      0.5 * Math.atan2(Math.sin(Math.atan2(dy, dx) - heading), Math.cos(Math.atan2(dy, dx) - heading));
    crest[best] = 2;
    // What lies beside the step belongs to the same crest.
    for (const side of [1, -1, columns, -columns])
      if (crest[at + side] === 1 && at + side !== best) crest[at + side] = 2;
    at = best;
    cells.push(at);
  }
}

function smoothLine(cells: readonly number[], columns: number): Points2 {
  let line = Float64Array.from(cells.flatMap((k) => [k % columns, Math.floor(k / columns)]));
  for (let pass = 0; pass < 6; pass++) {
    line = line.map((value, i) =>
      i < 2 || i >= line.length - 2 ? value : 0.25 * line[i - 2] + 0.5 * value + 0.25 * line[i + 2],
    );
  }
  return line;
}
