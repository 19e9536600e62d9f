import type { Pixels } from './photoTypes.ts';

/**
 * Linear light of an 8-bit sRGB code (IEC 61966-2-1). Blur mixes light, not codes: in linear light a blurred edge
 * stays where it was.
 */
const LINEAR = Float64Array.from({ length: 256 }, (_, code) => {
  const c = code / 255;
  return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
});

/** Linear light 0…1 of an 8-bit sRGB code. */
export function linearOf(code: number): number {
  return LINEAR[code];
}

/** Writes the linear light of red, green and blue at a place between pixel centres, bilinear; beyond the edge the edge goes on. */
export function lightInto(
  { width, height, rgba }: Pixels,
  x: number,
  y: number,
  into: { [index: number]: number },
  to = 0,
): void {
  const u = Math.min(width - 1, Math.max(0, x));
  const v = Math.min(height - 1, Math.max(0, y));
  const i = Math.min(width - 2, Math.floor(u));
  const j = Math.min(height - 2, Math.floor(v));
  const fx = u - i;
  const fy = v - j;
  const k = 4 * (j * width + i);
  const below = k + 4 * width;
  for (let c = 0; c < 3; c++) {
    const upper = LINEAR[rgba[k + c]] * (1 - fx) + LINEAR[rgba[k + 4 + c]] * fx;
    const lower = LINEAR[rgba[below + c]] * (1 - fx) + LINEAR[rgba[below + 4 + c]] * fx;
    into[to + c] = upper * (1 - fy) + lower * fy;
  }
}

/** A picture whose pixels can be read whole: red in the lowest eight bits, then green, then blue. */
export interface WholePixels extends Pixels {
  readonly whole: Int32Array;
}

/** The same picture, not copied. */
export function wholePixels({ width, height, rgba }: Pixels): WholePixels {
  return { width, height, rgba, whole: new Int32Array(rgba.buffer, rgba.byteOffset, width * height) };
}

/**
 * Linear light of red, green and blue at `steps` places along a line, as `lightInto` gives it, interleaved into `into`. The line:
 * x and y of the first place, and what each next one is further in x and in y.
 */
export function lightAlong(
  picture: WholePixels,
  line: Float64Array,
  steps: number,
  into: Float64Array,
): void {
  const { width, height, whole } = picture;
  const x = line[0];
  const y = line[1];
  const endX = x + (steps - 1) * line[2];
  const endY = y + (steps - 1) * line[3];
  const inside =
    Math.min(x, endX) >= 0 &&
    Math.min(y, endY) >= 0 &&
    Math.max(x, endX) < width - 1 &&
    Math.max(y, endY) < height - 1;
  if (inside) lightWithin(whole, width, line, steps, into);
  else for (let i = 0; i < steps; i++) lightInto(picture, x + i * line[2], y + i * line[3], into, 3 * i);
}

/** The same where all places lie within the picture. */
function lightWithin(
  whole: Int32Array,
  width: number,
  line: Float64Array,
  steps: number,
  into: Float64Array,
): void {
  const x = line[0];
  const y = line[1];
  const dx = line[2];
  const dy = line[3];
  for (let i = 0, to = 0; i < steps; i++, to += 3) {
    const u = x + i * dx;
    const v = y + i * dy;
    // Places within a picture are not negative.
    const left = u | 0;
    const top = v | 0;
    const fx = u - left;
    const fy = v - top;
    const w11 = fx * fy;
    const w10 = fx - w11;
    const w01 = fy - w11;
    const w00 = 1 - fx - w01;
    const at = top * width + left;
    const below = at + width;
    const p = whole[at];
    const q = whole[at + 1];
    const r = whole[below];
    const s = whole[below + 1];
    into[to] = w00 * LINEAR[p & 255] + w10 * LINEAR[q & 255] + w01 * LINEAR[r & 255] + w11 * LINEAR[s & 255];
    into[to + 1] =
      w00 * LINEAR[(p >> 8) & 255] +
      w10 * LINEAR[(q >> 8) & 255] +
      w01 * LINEAR[(r >> 8) & 255] +
      w11 * LINEAR[(s >> 8) & 255];
    into[to + 2] =
      w00 * LINEAR[(p >> 16) & 255] +
      w10 * LINEAR[(q >> 16) & 255] +
      w01 * LINEAR[(r >> 16) & 255] +
      w11 * LINEAR[(s >> 16) & 255];
  }
}

/** Linear luminance 0…1 (weights of BT.709) between pixel centres, bilinear; beyond the edge the edge goes on. */
export type Light = (x: number, y: number) => number;

export function lightOf(pixels: Pixels): Light {
  const { width, height, rgba } = pixels;
  const whole = new Int32Array(rgba.buffer, rgba.byteOffset, rgba.length >> 2);
  return (x, y) => {
    const u = Math.min(width - 1, Math.max(0, x));
    const v = Math.min(height - 1, Math.max(0, y));
    const i = Math.min(width - 2, Math.floor(u));
    const j = Math.min(height - 2, Math.floor(v));
    const fx = u - i;
    const fy = v - j;
    const at = j * width + i;
    const upper = between(whole[at], whole[at + 1], fx);
    const lower = between(whole[at + width], whole[at + width + 1], fx);
    return upper * (1 - fy) + lower * fy;
  };
}

/** The luminance at a share of the way from one pixel to another. */
function between(one: number, other: number, share: number): number {
  return luminance(one) * (1 - share) + luminance(other) * share;
}

function luminance(pixel: number): number {
  return (
    0.2126 * LINEAR[pixel & 255] + 0.7152 * LINEAR[(pixel >> 8) & 255] + 0.0722 * LINEAR[(pixel >> 16) & 255]
  );
}

/**
 * Where light changes along a line through (x, y) with unit direction (dx, dy), as a distance from (x, y), pixels.
 * The plateaus are the means of the outer quarters of ±`reach`; the edge stands where a sharp step between them would
 * hold as much light, which no symmetric blur moves. Undefined where the contrast is under `contrast` of the lighter
 * plateau or the edge is not within the middle half.
 */
export function edgeAlong(
  light: Light,
  x: number,
  y: number,
  dx: number,
  dy: number,
  reach: number,
  contrast: number,
): { readonly at: number; readonly rise: number } | undefined {
  const steps = Math.max(16, 4 * Math.ceil(reach));
  const width = (2 * reach) / steps;
  const quarter = steps >> 2;
  let [near, far, sum] = [0, 0, 0];
  for (let i = 0; i < steps; i++) {
    const t = -reach + (i + 0.5) * width;
    const value = light(x + t * dx, y + t * dy);
    sum += value;
    if (i < quarter) near += value / quarter;
    else if (i >= steps - quarter) far += value / quarter;
  }
  const rise = far - near;
  if (Math.abs(rise) < contrast * Math.max(near, far)) return undefined;
  // Light before the step is `near`, after it `far`: sum·width = near·(at + reach) + far·(reach − at).
  const at = reach - (sum * width - near * 2 * reach) / rise;
  return Math.abs(at) <= reach / 2 ? { at, rise } : undefined;
}
