import type { Points2 } from '../geometry/types.ts';
import type { ReducedPixels } from '../intake/photoTypes.ts';
import type { Mouth } from './photoBays.ts';
import { FAR } from './photoSharpness.ts';

/** Cells within which a part lies next to a ring. */
const HEM_REACH = 2;

/**
 * By point of a ring: how wide a part next to it is that may be stone left out or shadow left in, pixels of the whole picture;
 * undefined where there is none anywhere.
 */
export function wideAlong(
  ring: Points2,
  factor: number,
  grid: ReducedPixels | undefined,
  wide: Float32Array | undefined,
): Float64Array | undefined {
  if (grid === undefined || wide === undefined) return undefined;
  const out = new Float64Array(ring.length / 2);
  const ratio = grid.factor / factor;
  for (let i = 0; i < out.length; i++) {
    const x = Math.floor((ring[2 * i] + 0.5) / ratio);
    const y = Math.floor((ring[2 * i + 1] + 0.5) / ratio);
    for (let v = Math.max(0, y - HEM_REACH); v <= Math.min(grid.height - 1, y + HEM_REACH); v++) {
      for (let u = Math.max(0, x - HEM_REACH); u <= Math.min(grid.width - 1, x + HEM_REACH); u++) {
        out[i] = Math.max(out[i], grid.factor * wide[v * grid.width + u]);
      }
    }
  }
  return out;
}

/** How wide the mouths are that points of a ring lie at, pixels of the whole picture; 0 elsewhere. */
export function mouthsAlong(
  ring: Points2,
  factor: number,
  grid: ReducedPixels,
  mouths: readonly Mouth[],
): Float64Array {
  const out = new Float64Array(ring.length / 2);
  const ratio = grid.factor / factor;
  for (const { x, y, wide } of mouths) {
    for (let i = 0; i < out.length; i++) {
      const [dx, dy] = [(ring[2 * i] + 0.5) / ratio - x - 0.5, (ring[2 * i + 1] + 0.5) / ratio - y - 0.5];
      if (dx * dx + dy * dy <= wide * wide) out[i] = Math.max(out[i], grid.factor * wide);
    }
  }
  return out;
}

/** Pixels of the whole picture, from how far a reading strays in one reduced by `factor`; unread ones by a pixel of that. */
export function errorOf(stray: number, least: number, factor: number): number {
  return factor * Math.max(least, Number.isNaN(stray) ? 1 : stray);
}

/** By point of a ring; at those that are marked odd stone may be left out. */
export function errorsOf(
  strays: Float64Array,
  least: number,
  factor: number,
  odd: Uint8Array | undefined,
): Float64Array {
  const errors = new Float64Array(strays.length);
  for (let k = 0; k < errors.length; k++) {
    errors[k] = Math.max(errorOf(strays[k], least, factor), odd?.[k] === 1 ? factor * FAR : 0);
  }
  return errors;
}

/** The values at some places. */
export function valuesAt(values: Float64Array, places: Uint32Array): Float64Array {
  const out = new Float64Array(places.length);
  for (let k = 0; k < out.length; k++) out[k] = values[places[k]];
  return out;
}

/** Raises errors to those of parts so wide on either side (rectangular); gives the sum of the wider ones. */
export function raisedBy(
  errors: Float64Array,
  hem: Float64Array | undefined,
  shade: Float64Array | undefined,
): number {
  if (hem === undefined && shade === undefined) return 0;
  let sum = 0;
  for (let i = 0; i < errors.length; i++) {
    const wide = Math.max(hem?.[i] ?? 0, shade?.[i] ?? 0);
    errors[i] = Math.max(errors[i], wide / Math.sqrt(3));
    sum += wide;
  }
  return sum;
}

/** Raises errors to a share of values where these are more. */
export function raiseBy(errors: Float64Array, values: Float64Array, share: number): void {
  for (let i = 0; i < errors.length; i++) errors[i] = Math.max(errors[i], share * values[i]);
}

/** The share of values that are above 0; 0 of none. */
export function shareAboveZero(values: Float64Array | undefined): number {
  if (values === undefined) return 0;
  let count = 0;
  for (let i = 0; i < values.length; i++) if (values[i] > 0) count++;
  return count / values.length;
}
