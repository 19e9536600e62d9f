/** Where a neighbour lies, and how far: the four straight ones, then the four across corners. */
const STEPS: readonly (readonly [dx: number, dy: number, way: number])[] = [
  [1, 0, 1],
  [-1, 0, 1],
  [0, 1, 1],
  [0, -1, 1],
  [1, 1, Math.SQRT2],
  [-1, 1, Math.SQRT2],
  [1, -1, Math.SQRT2],
  [-1, -1, Math.SQRT2],
];

/**
 * The cheapest way through a grid from cell to cell over sides and corners (Dijkstra 1959). `cost` is what a step of
 * length 1 costs in each cell, all above 0, row by row; a step costs the mean of its two cells times its length.
 * Gives the cells' indices from `from` to `to`, both included.
 */
export function cheapestPath(cost: Float32Array, columns: number, from: number, to: number): number[] {
  const rows = cost.length / columns;
  const least = new Float64Array(cost.length).fill(Infinity);
  const before = new Int32Array(cost.length).fill(-1);
  const done = new Uint8Array(cost.length);
  const open = createQueue();
  least[from] = 0;
  open.push(from, 0);
  for (let cell = open.pop(); cell !== undefined && cell !== to; cell = open.pop()) {
    if (done[cell] === 1) continue;
    done[cell] = 1;
    const x = cell % columns;
    const y = Math.floor(cell / columns);
    for (const [dx, dy, way] of STEPS) {
      if (x + dx < 0 || x + dx >= columns || y + dy < 0 || y + dy >= rows) continue;
      const next = cell + dy * columns + dx;
      if (done[next] === 1) continue;
      const price = least[cell] + (way * (cost[cell] + cost[next])) / 2;
      if (price >= least[next]) continue;
      least[next] = price;
      before[next] = cell;
      open.push(next, price);
    }
  }
  const path = [to];
  for (let cell = before[to]; cell >= 0; cell = before[cell]) path.push(cell);
  return path.reverse();
}

interface Queue {
  push(cell: number, price: number): void;
  /** The cheapest cell; undefined when there is none. */
  pop(): number | undefined;
}

/** A binary heap. A cell may stand in it several times; the cheapest comes first. */
function createQueue(): Queue {
  const cells: number[] = [];
  const prices: number[] = [];
  const swap = (a: number, b: number): void => {
    [cells[a], cells[b]] = [cells[b], cells[a]];
    [prices[a], prices[b]] = [prices[b], prices[a]];
  };
  return {
    push(cell, price) {
      let at = cells.length;
      cells.push(cell);
      prices.push(price);
      while (at > 0) {
        const parent = (at - 1) >> 1;
        if (prices[parent] <= prices[at]) break;
        swap(at, parent);
        at = parent;
      }
    },
    pop() {
      if (cells.length === 0) return undefined;
      swap(0, cells.length - 1);
      prices.pop();
      const cell = cells.pop();
      for (let at = 0; ; ) {
        const left = 2 * at + 1;
        if (left >= cells.length) break;
        const right = left + 1;
        const child = right < cells.length && prices[right] < prices[left] ? right : left;
        if (prices[at] <= prices[child]) break;
        swap(at, child);
        at = child;
      }
      return cell;
    },
  };
}
