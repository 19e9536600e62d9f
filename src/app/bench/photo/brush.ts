import type { Correction } from '../../../trace/types.ts';
import type { Tool } from '../../state/benchState.ts';
import type { Spot } from './places.ts';

/** The tools that correct an outline, and what each of them makes. */
export const BRUSHES = {
  'paint-in': 'in',
  'paint-out': 'out',
  'move-line': 'move',
} as const satisfies Partial<Record<Tool, Correction['kind']>>;
export type BrushTool = keyof typeof BRUSHES;

export const isBrush = (tool: Tool | null): tool is BrushTool => tool !== null && tool in BRUSHES;

/** A brush as it is held: its radius in pixels of the photograph, and whether edges of light near by are taken. */
export interface Brush {
  readonly radius: number;
  readonly exact: boolean;
}

export const NO_CORRECTIONS: readonly Correction[] = [];

/** Smallest and largest radius, pixels of the photograph. */
const [LEAST, MOST] = [0.5, 2000];
/** A hand misses by about so much, pixels of the screen (practice): with a mouse, a pen or keys, and with a finger. */
const HAND = 1.5;
const FINGER = 4;
/** Places on a stroke nearer than this share of its radius, or than these pixels of the screen, tell nothing. */
const NEAR_SHARE = 0.1;
const NEAR = 1.5;
/** More places than this are not kept of one stroke. */
const MOST_PLACES = 2000;

export function resized(radius: number, factor: number): number {
  return Math.min(MOST, Math.max(LEAST, radius * factor));
}

/** A stroke with one more place, if that says more than the last one does. `scale`: screen pixels for one of the photograph. */
export function extended(line: readonly Spot[], spot: Spot, radius: number, scale: number): readonly Spot[] {
  const last = line.at(-1);
  if (last === undefined) return [spot];
  const away = Math.hypot(spot[0] - last[0], spot[1] - last[1]);
  return away < Math.max(NEAR_SHARE * radius, NEAR / scale) || line.length >= MOST_PLACES
    ? line
    : [...line, spot];
}

/** What is kept of a finished stroke; undefined for a line that was taken hold of and not moved. */
export function toCorrection(
  tool: BrushTool,
  line: readonly Spot[],
  { radius, exact }: Brush,
  scale: number,
  finger: boolean,
): Correction | undefined {
  const [first, last] = [line[0], line.at(-1)];
  if (first === undefined || last === undefined) return undefined;
  const kind = BRUSHES[tool];
  const ends = Math.hypot(last[0] - first[0], last[1] - first[1]);
  if (kind === 'move' && ends < NEAR / scale) return undefined;
  const places = kind === 'move' ? [first, last] : line;
  return {
    kind,
    points: places.map(([x, y]) => [rounded(x), rounded(y)]),
    radius: rounded(radius),
    hand: rounded(Math.min(radius, Math.max(0.5, (finger ? FINGER : HAND) / scale))),
    ...(exact ? { exact } : {}),
  };
}

function rounded(pixels: number): number {
  return Math.round(100 * pixels) / 100;
}
