import type { SpecimenRecord } from '../../record/schema.ts';

/**
 * What a student read off the piece before the computed answers are shown. Lengths are in mm on the desk: the plan laid
 * down at an angle, about the middle of its length. Null: not measured yet.
 */
export interface HandGuess {
  /** Direction of the length axis, degrees counter-clockwise from straight up on the desk. */
  readonly axis: number | null;
  /** Jaws square to that axis: along it from the middle. */
  readonly length: readonly [low: number, high: number] | null;
  /** Jaws along that axis: to its left and right from the middle. */
  readonly width: readonly [left: number, right: number] | null;
  readonly hump: HumpGuess | 'none' | null;
  /** The computed answers were asked for. */
  readonly asked: boolean;
}

export interface HumpGuess {
  readonly face: 'A' | 'B';
  /** Frame x and y, mm. */
  readonly x: number;
  readonly y: number;
}

export const NOTHING_READ: HandGuess = { axis: null, length: null, width: null, hump: null, asked: false };

/** The plan lies turned by this many degrees at most, and by this many at least. */
const LEAST_TURN = 9;
const MOST_TURN = 24;

/**
 * How the piece happens to lie on the desk, degrees counter-clockwise: the same piece lies the same way each time, and no
 * piece lies so that its axis can be read off the paper.
 */
export function layOf({ id }: SpecimenRecord): number {
  const number = Number.parseInt(id.slice(0, 8), 16);
  const turn = LEAST_TURN + (number % (MOST_TURN - LEAST_TURN + 1));
  return number & 0x100 ? turn : -turn;
}

export interface Comparison {
  readonly id: 'length' | 'width' | 'axis' | 'hump';
  /** By hand and computed, in `unit`; null where it was not read, or is not to be had. */
  readonly read: number | null;
  readonly computed: number | null;
  /** Standard uncertainty of what was computed. */
  readonly u: number | null;
  readonly unit: 'mm' | '°';
}

/** What was read beside what was computed. The hump is compared by `humpOff`. */
export function compareReadings(record: SpecimenRecord, guess: HandGuess): readonly Comparison[] {
  const span = (jaws: readonly [number, number] | null): number | null => jaws && jaws[1] - jaws[0];
  const computed = (id: 'length' | 'width') => {
    const found = record.measurements.find((measurement) => measurement.id === id);
    return { computed: typeof found?.value === 'number' ? found.value : null, u: found?.u ?? null };
  };
  return [
    { id: 'length', read: span(guess.length), ...computed('length'), unit: 'mm' },
    { id: 'width', read: span(guess.width), ...computed('width'), unit: 'mm' },
    { id: 'axis', read: guess.axis, computed: layOf(record), u: axisSpread(record), unit: '°' },
  ];
}

/** How far the automatic axes lie apart from the chosen one, root mean square in degrees: the axis is as sure as that. */
function axisSpread({ frame }: SpecimenRecord): number {
  const others = Object.entries(frame.axes).filter(([id]) => id !== frame.axis);
  return Math.sqrt(others.reduce((sum, [, { angle }]) => sum + angle * angle, 0) / others.length);
}

export type HumpVerdict =
  | { readonly is: 'unsaid' | 'none-right' | 'none-missed' | 'none-there' }
  | { readonly is: 'hit' | 'wrong-face' | 'off'; readonly distance: number };

/** Whether the mark lies on the tallest hump; its distance from the peak in mm. */
export function judgeHump(record: SpecimenRecord, guess: HandGuess['hump']): HumpVerdict {
  const tallest = record.humps.toSorted((a, b) => b.prominence - a.prominence)[0];
  if (guess === null) return { is: 'unsaid' };
  if (guess === 'none') return { is: tallest === undefined ? 'none-right' : 'none-missed' };
  if (tallest === undefined) return { is: 'none-there' };
  const distance = Math.hypot(guess.x - tallest.peak[0], guess.y - tallest.peak[1]);
  if (guess.face !== tallest.face) return { is: 'wrong-face', distance };
  return { is: isInside(tallest.footprint, guess.x, guess.y) ? 'hit' : 'off', distance };
}

function isInside(ring: readonly (readonly [number, number])[], x: number, y: number): boolean {
  let inside = false;
  ring.forEach(([ax, ay], i) => {
    const [bx, by] = ring[(i + 1) % ring.length];
    if (ay > y !== by > y && x < ax + ((y - ay) / (by - ay)) * (bx - ax)) inside = !inside;
  });
  return inside;
}
