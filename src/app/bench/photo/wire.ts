import type { Spot } from './places.ts';

/** Places clicked along an edge, x y pairs in the photograph's pixels, from one end of it to the other. */
export type Clicks = readonly number[];

const at = ([x, y]: Spot): readonly [number, number] => [Math.round(10 * x) / 10, Math.round(10 * y) / 10];

/** One more place: after the last, or where the line is nearest when it lies between two that are there. */
export function clickedAt(clicks: Clicks, spot: Spot): Clicks {
  let best = clicks.length;
  for (let i = 0; i + 3 < clicks.length; i += 2) {
    const [dx, dy] = [clicks[i + 2] - clicks[i], clicks[i + 3] - clicks[i + 1]];
    const share = ((spot[0] - clicks[i]) * dx + (spot[1] - clicks[i + 1]) * dy) / (dx * dx + dy * dy);
    // Well between two neighbours, and no farther to the side than they are apart.
    const off = Math.abs((spot[0] - clicks[i]) * dy - (spot[1] - clicks[i + 1]) * dx) / Math.hypot(dx, dy);
    if (share > 0 && share < 1 && off < Math.hypot(dx, dy) / 2) best = i + 2;
  }
  return [...clicks.slice(0, best), ...at(spot), ...clicks.slice(best)];
}

export function moved(clicks: Clicks, k: number, spot: Spot): Clicks {
  return [...clicks.slice(0, 2 * k), ...at(spot), ...clicks.slice(2 * k + 2)];
}

export function without(clicks: Clicks, k: number): Clicks {
  return [...clicks.slice(0, 2 * k), ...clicks.slice(2 * k + 2)];
}
