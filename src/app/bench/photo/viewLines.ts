import type { ViewLines } from '../../../../workers/messages.ts';
import type { Spot } from './places.ts';

/** Ends of the length itself on the drawn axis, which runs past both. */
function ends({ axis, past }: ViewLines): readonly [x0: number, y0: number, dx: number, dy: number] {
  const [dx, dy] = [axis[2] - axis[0], axis[3] - axis[1]];
  const share = past / (1 + 2 * past);
  const inner = 1 - 2 * share;
  return [axis[0] + share * dx, axis[1] + share * dy, inner * dx, inner * dy];
}

/** Station of a pixel of a further photograph, percent of the length from the base; null beyond the ends. */
export function stationOn(lines: ViewLines, [x, y]: Spot): number | null {
  const [x0, y0, dx, dy] = ends(lines);
  const share = ((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy);
  return share >= 0 && share <= 1 ? 100 * share : null;
}

/** The jaws that a silhouette seen from the tip fits between, one on each face, and the distance from the one to the other. */
export interface Jaws {
  readonly faces: readonly [readonly [Spot, Spot], readonly [Spot, Spot]];
  readonly across: readonly [Spot, Spot];
}

/** The thickness of a piece seen from the tip: how far its outline reaches to both sides of the axis, along which its width lies. */
export function jawsOn(lines: ViewLines): Jaws {
  const [x0, y0, dx, dy] = ends(lines);
  const length = Math.hypot(dx, dy);
  const [ux, uy] = [dx / length, dy / length];
  let [low, high] = [Infinity, -Infinity];
  for (let i = 0; i < lines.outline.length; i += 2) {
    const across = (lines.outline[i + 1] - y0) * ux - (lines.outline[i] - x0) * uy;
    low = Math.min(low, across);
    high = Math.max(high, across);
  }
  const spot = (share: number, across: number): Spot => [
    x0 + share * dx - across * uy,
    y0 + share * dy + across * ux,
  ];
  const face = (across: number) => [spot(0, across), spot(1, across)] as const;
  return { faces: [face(low), face(high)], across: [spot(0.5, low), spot(0.5, high)] };
}

/** The chord of the outline at a station, from its outermost place on one side to that on the other; null where none. */
export function chordOn(lines: ViewLines, station: number): readonly [Spot, Spot] | null {
  const [x0, y0, dx, dy] = ends(lines);
  const length = Math.hypot(dx, dy);
  const [ux, uy] = [dx / length, dy / length];
  const level = (station / 100) * length;
  const { outline } = lines;
  let [low, high] = [Infinity, -Infinity];
  for (let i = 0; i < outline.length; i += 2) {
    const j = (i + 2) % outline.length;
    const along = (k: number): number => (outline[k] - x0) * ux + (outline[k + 1] - y0) * uy - level;
    const [a, b] = [along(i), along(j)];
    if (a > 0 === b > 0) continue;
    const share = a / (a - b);
    const across = (k: number): number => (outline[k + 1] - y0) * ux - (outline[k] - x0) * uy;
    const at = across(i) + share * (across(j) - across(i));
    low = Math.min(low, at);
    high = Math.max(high, at);
  }
  if (low > high) return null;
  const spot = (at: number): Spot => [x0 + level * ux - at * uy, y0 + level * uy + at * ux];
  return [spot(low), spot(high)];
}
