import { cheapestPath } from '../geometry/gridPath.ts';
import { maskInside } from '../geometry/polygonMask.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { colourEdges } from './photoEdge.ts';

/** The window reaches past two clicks by this share of the way between them, and by so many pixels at least. */
const [ROOM, LEAST_ROOM] = [0.25, 24];
/** Cells of the window at most: a larger one is sought in a reduced picture and put right in the whole one. */
const MOST_CELLS = 400_000;
/** Blur of the picture before its gradient is taken, cells. */
const SIGMA = 1.2;
/** What a cell without any edge costs over one on a clear edge. */
const PLAIN = 1;
const CLEAR = 0.03;
/** An edge counts as clear from this quantile of the window's gradients on: stronger ones draw no more. */
const CLEAR_AT = 0.93;
/** Cells within so many pixels of the silhouette's rim, or outside, cost so much more: its edge is not the one meant. */
const [RIM, OFF] = [4, 2];
/** Half the window, in points, over which a path's direction is taken. */
const ARM = 4;
/**
 * How far to either side an edge is looked for, pixels, and over how many points to either side the jitter is then
 * smoothed: wide first, then narrow, because grain tells less on a place the less of it is read.
 */
const ROUNDS = [
  { reach: 7, calm: 4 },
  { reach: 4, calm: 2 },
] as const;

/**
 * A line along edges of a picture through places that were clicked (live-wire: Mortensen & Barrett 1995). Between two
 * clicks it is the way of least cost over a window about them, cheap where the colour changes most; every point is then
 * moved across the line to where the colour changes. Clicks (x y pairs, pixels, in order) are taken to lie near the edge.
 * `silhouette` is the outline within which the line runs. Gives x y pairs about one pixel apart.
 */
export function wireThrough(picture: Pixels, clicks: readonly number[], silhouette: Points2): Points2 {
  const path: number[] = [];
  for (let i = 0; i + 3 < clicks.length; i += 2) {
    const leg = legBetween(picture, clicks.slice(i, i + 4), silhouette);
    // The first place of a leg is the last of the leg before.
    path.push(...(path.length === 0 ? leg : leg.slice(2)));
  }
  return onEdges(picture, Float64Array.from(path));
}

/** The cheapest way between two clicks, x y pairs about one pixel apart, the clicks themselves included. */
function legBetween(picture: Pixels, [x0, y0, x1, y1]: readonly number[], silhouette: Points2): number[] {
  const room = Math.max(LEAST_ROOM, ROOM * Math.hypot(x1 - x0, y1 - y0));
  const left = Math.max(0, Math.floor(Math.min(x0, x1) - room));
  const top = Math.max(0, Math.floor(Math.min(y0, y1) - room));
  const right = Math.min(picture.width - 1, Math.ceil(Math.max(x0, x1) + room));
  const bottom = Math.min(picture.height - 1, Math.ceil(Math.max(y0, y1) + room));
  const cell = Math.max(1, Math.ceil(Math.sqrt(((right - left) * (bottom - top)) / MOST_CELLS)));
  const columns = Math.max(2, Math.floor((right - left + 1) / cell));
  const rows = Math.max(2, Math.floor((bottom - top + 1) / cell));
  const centre = (cell - 1) / 2;
  const grid = { x0: left + centre, y0: top + centre, cell, columns, rows };
  const cost = costs(gradients(picture, grid), inside(silhouette, grid));
  const cellOf = (x: number, y: number): number => {
    const u = Math.min(columns - 1, Math.max(0, Math.round((x - grid.x0) / cell)));
    const v = Math.min(rows - 1, Math.max(0, Math.round((y - grid.y0) / cell)));
    return v * columns + u;
  };
  const cells = cheapestPath(cost, columns, cellOf(x0, y0), cellOf(x1, y1));
  const middle = cells.slice(1, -1).flatMap((k) => {
    return [grid.x0 + (k % columns) * cell, grid.y0 + Math.floor(k / columns) * cell];
  });
  return spaced([x0, y0, ...middle, x1, y1]);
}

type Grid = Parameters<typeof maskInside>[1];

/** How much the colour changes at each cell: the gradient of the blurred picture, all channels together, in codes a cell. */
function gradients(picture: Pixels, { x0, y0, cell, columns, rows }: Grid): Float32Array {
  const squared = new Float32Array(columns * rows);
  for (let channel = 0; channel < 3; channel++) {
    const values = new Float32Array(columns * rows);
    for (let k = 0; k < values.length; k++) {
      const left = Math.round(x0 - (cell - 1) / 2) + (k % columns) * cell;
      const top = Math.round(y0 - (cell - 1) / 2) + Math.floor(k / columns) * cell;
      let sum = 0;
      for (let v = top; v < top + cell; v++) {
        for (let u = left; u < left + cell; u++) sum += picture.rgba[4 * (v * picture.width + u) + channel];
      }
      values[k] = sum / (cell * cell);
    }
    blur(values, columns, rows);
    for (let v = 0; v < rows; v++) {
      for (let u = 0; u < columns; u++) {
        const k = v * columns + u;
        const across = values[k + (u < columns - 1 ? 1 : 0)] - values[k - (u > 0 ? 1 : 0)];
        const down = values[k + (v < rows - 1 ? columns : 0)] - values[k - (v > 0 ? columns : 0)];
        squared[k] += (across * across + down * down) / 4;
      }
    }
  }
  return squared.map(Math.sqrt);
}

/** Gaussian of SIGMA cells, in place, the rim going on beyond itself. */
function blur(values: Float32Array, columns: number, rows: number): void {
  const reach = Math.ceil(3 * SIGMA);
  const kernel = Array.from({ length: 2 * reach + 1 }, (_, i) =>
    Math.exp(-((i - reach) ** 2) / (2 * SIGMA ** 2)),
  );
  const whole = kernel.reduce((sum, weight) => sum + weight, 0);
  const line = new Float32Array(Math.max(columns, rows));
  const pass = (start: number, step: number, count: number): void => {
    for (let i = 0; i < count; i++) line[i] = values[start + step * i];
    for (let i = 0; i < count; i++) {
      let sum = 0;
      for (let j = -reach; j <= reach; j++)
        sum += kernel[j + reach] * line[Math.min(count - 1, Math.max(0, i + j))];
      values[start + step * i] = sum / whole;
    }
  };
  for (let v = 0; v < rows; v++) pass(v * columns, 1, columns);
  for (let u = 0; u < columns; u++) pass(u, columns, rows);
}

/** 1 for cells well within the silhouette. */
function inside(silhouette: Points2, grid: Grid): Uint8Array {
  const mask = maskInside([silhouette], grid);
  const { columns, rows, cell } = grid;
  const rim = Math.max(1, Math.round(RIM / cell));
  return mask.map((within, k) => {
    const [u, v] = [k % columns, Math.floor(k / columns)];
    const at = (du: number, dv: number): number => {
      const [x, y] = [u + du, v + dv];
      // What the window does not show is no rim.
      return x < 0 || x >= columns || y < 0 || y >= rows ? 1 : mask[y * columns + x];
    };
    return within & at(rim, 0) & at(-rim, 0) & at(0, rim) & at(0, -rim);
  });
}

function costs(gradient: Float32Array, within: Uint8Array): Float32Array {
  const known = gradient.filter((_, k) => within[k] === 1);
  const sorted = (known.length > 0 ? known : gradient.slice()).sort();
  const clear = Math.max(1e-3, sorted[Math.floor(CLEAR_AT * (sorted.length - 1))]);
  return gradient.map((g, k) => {
    const plain = 1 - Math.min(1, g / clear);
    return CLEAR + PLAIN * plain * plain + (within[k] === 1 ? 0 : OFF);
  });
}

/** The same line with points about one pixel apart. */
function spaced(path: readonly number[]): number[] {
  const out = [path[0], path[1]];
  for (let i = 2; i < path.length; i += 2) {
    const [dx, dy] = [path[i] - path[i - 2], path[i + 1] - path[i - 1]];
    const steps = Math.max(1, Math.round(Math.hypot(dx, dy)));
    for (let s = 1; s <= steps; s++) out.push(path[i - 2] + (s * dx) / steps, path[i - 1] + (s * dy) / steps);
  }
  return out;
}

/** Moves every point across the line to where the colour changes, where it does; twice, from a smoother line each time. */
function onEdges(picture: Pixels, path: Points2): Points2 {
  const edges = colourEdges(picture);
  let line = calmed(path, ARM);
  for (const { reach, calm } of ROUNDS) {
    const n = line.length / 2;
    const moved = line.slice();
    for (let i = 0; i < n; i++) {
      const [a, b] = [Math.max(0, i - ARM), Math.min(n - 1, i + ARM)];
      const [dx, dy] = [line[2 * b] - line[2 * a], line[2 * b + 1] - line[2 * a + 1]];
      const size = Math.hypot(dx, dy) || 1;
      const [nx, ny] = [dy / size, -dx / size];
      const off = edges.at(line[2 * i], line[2 * i + 1], nx, ny, reach);
      if (off === undefined) continue;
      moved[2 * i] += off * nx;
      moved[2 * i + 1] += off * ny;
    }
    line = calmed(moved, calm);
  }
  return line;
}

/**
 * Means over `arm` points to either side, weighed like a hill; at the ends over as many as there are to both sides, so
 * that they stay.
 */
function calmed(line: Points2, arm: number): Points2 {
  const n = line.length / 2;
  return line.map((_, at) => {
    const i = at >> 1;
    const reach = Math.min(arm, i, n - 1 - i);
    let [sum, weights] = [0, 0];
    for (let j = -reach; j <= reach; j++) {
      const weight = 1 - Math.abs(j) / (reach + 1);
      sum += weight * line[2 * (i + j) + (at & 1)];
      weights += weight;
    }
    return sum / weights;
  });
}
