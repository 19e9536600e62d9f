import type { Pixels } from '../intake/photoTypes.ts';
import { linearOf } from '../intake/scaleLight.ts';

export type Pair = readonly [number, number];

/** A stretch of a ring that cuts a corner, and where the corner may be. */
export interface CutCorner {
  /** The ring's own points from one side over the corner to the other, in order. */
  readonly cut: readonly Pair[];
  /** The same with the sides on which colours are read. */
  readonly around: readonly Pair[];
  /** Where the ring turns now, and where its sides meet. */
  readonly now: Pair;
  readonly meet: Pair;
}

/** The pixels of a picture about a corner. */
export interface Window {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

export function windowOf(points: readonly Pair[], picture: Pixels, rim: number): Window {
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  const left = Math.max(0, Math.floor(Math.min(...xs)) - rim);
  const top = Math.max(0, Math.floor(Math.min(...ys)) - rim);
  const width = Math.min(picture.width, Math.ceil(Math.max(...xs)) + rim + 1) - left;
  const height = Math.min(picture.height, Math.ceil(Math.max(...ys)) + rim + 1) - top;
  return { left, top, width: Math.max(0, width), height: Math.max(0, height) };
}

/** 1 at the cells of a window within `reach` of some points. */
export function nearTo(
  { left, top, width, height }: Window,
  points: readonly Pair[],
  reach: number,
): Uint8Array {
  const near = new Uint8Array(width * height);
  const square = reach * reach;
  for (const point of points) {
    const x = point[0] - left;
    const y = point[1] - top;
    const first = Math.max(0, Math.ceil(x - reach));
    const last = Math.min(width - 1, Math.floor(x + reach));
    const lowest = Math.min(height - 1, Math.floor(y + reach));
    for (let v = Math.max(0, Math.ceil(y - reach)); v <= lowest; v++) {
      const rest = square - (v - y) * (v - y);
      for (let u = first; u <= last; u++) if ((u - x) * (u - x) <= rest) near[v * width + u] = 1;
    }
  }
  return near;
}

/** Places of the cells that are marked. */
export function placesOf(marks: Uint8Array): Uint32Array {
  const places = new Uint32Array(marks.length);
  let count = 0;
  for (let i = 0; i < marks.length; i++) if (marks[i] === 1) places[count++] = i;
  return places.slice(0, count);
}

/** Linear light of some cells of a window, three channels each. */
export function lightsOf({ rgba, width }: Pixels, window: Window, cells: Uint32Array): Float64Array {
  const lights = new Float64Array(3 * cells.length);
  for (let i = 0; i < cells.length; i++) {
    const v = Math.floor(cells[i] / window.width);
    const k = 4 * ((window.top + v) * width + window.left + cells[i] - v * window.width);
    for (let c = 0; c < 3; c++) lights[3 * i + c] = linearOf(rgba[k + c]);
  }
  return lights;
}
