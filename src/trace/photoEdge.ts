import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { lightAlong, type WholePixels, wholePixels } from '../intake/scaleLight.ts';

/**
 * How the colours of either side change within a reading, at every LOOK_EVERY-th point of a ring: six mean products of their
 * differences, red with red, green and blue, green with green and blue, blue with blue.
 */
export type Unrest = Float64Array;

/** Reads where a picture changes. */
export interface EdgeReader {
  /**
   * Where it does along a line through (x, y) with unit direction (dx, dy), read over ±`reach` pixels: the distance from
   * (x, y), or undefined where no edge is to be seen.
   */
  at(x: number, y: number, dx: number, dy: number, reach: number): number | undefined;
  /**
   * The same at every so many points of a ring along its normals there; NaN at the others and where no edge is to be seen.
   * `unrest` is what `unrestAlong` told of the ring.
   */
  along(ring: Points2, normals: Points2, reach: number, every: number, unrest?: Unrest): Float64Array;
  unrestAlong?(ring: Points2, normals: Points2): Unrest;
}

/** Least contrast, in standard deviations of what the two sides vary by themselves. */
const CONTRAST = 2.5;
/** Variance of linear light that even a plain side has: a camera's noise and 8-bit steps. */
const LEAST_VARIANCE = 2e-6;
const CHANNELS = 3;
/** Most samples along a line. */
const MOST_STEPS = 256;
/** Colours to either side are compared between these distances from the ring, pixels: past the blur, and as far apart as a reading looks. */
const [BEFORE, BEYOND] = [2.5, 5];
/** Samples from BEYOND on one side to BEYOND on the other, as far apart as BEFORE and BEYOND are. */
const ACROSS = 5;
/** Unrest is looked at in every so many points of a ring, and taken together over so many such looks to either side. */
const LOOK_EVERY = 2;
const TOGETHER = 20;
/** Products of three differences with each other. */
const PRODUCTS = 6;
/** Those of a difference with itself. */
const SQUARES = [0, 3, 5] as const;

/**
 * Reads edges by colour, in linear light, where blur does not move an edge. The two sides are the means of the outer
 * quarters of the line; all samples are projected onto the difference between them, each channel weighed by how little
 * it varies on either side; the edge stands where a sharp step would hold as much light. Where grain and facets near by
 * are known, the direction of colour is the one in which they say least.
 */
export function colourEdges(picture: Pixels): EdgeReader {
  return new ColourEdges(wholePixels(picture));
}

/** A class, for what is compiled of its methods lasts longer than one picture's reader does. */
class ColourEdges implements EdgeReader {
  private readonly whole: WholePixels;
  private readonly line = new Float64Array(4);
  private readonly samples = new Float64Array(CHANNELS * MOST_STEPS);
  private readonly rise = new Float64Array(CHANNELS);
  private readonly sums = new Float64Array(CHANNELS);
  private readonly weights = new Float64Array(CHANNELS);

  constructor(whole: WholePixels) {
    this.whole = whole;
  }

  at(x: number, y: number, dx: number, dy: number, reach: number): number | undefined {
    const [at] = this.along(Float64Array.of(x, y), Float64Array.of(dx, dy), reach, 1);
    return Number.isNaN(at) ? undefined : at;
  }

  along(ring: Points2, normals: Points2, reach: number, every: number, unrest?: Unrest): Float64Array {
    const { line, samples, rise, sums, weights } = this;
    const steps = Math.min(MOST_STEPS, Math.max(16, 4 * Math.ceil(reach)));
    const step = (2 * reach) / steps;
    const from = step / 2 - reach;
    const found = new Float64Array(ring.length / 2).fill(NaN);
    for (let i = 0; i < found.length; i += every) {
      const dx = normals[2 * i];
      const dy = normals[2 * i + 1];
      line[0] = ring[2 * i] + from * dx;
      line[1] = ring[2 * i + 1] + from * dy;
      line[2] = step * dx;
      line[3] = step * dy;
      lightAlong(this.whole, line, steps, samples);
      readSides(samples, steps, rise, sums, weights);
      if (product(rise, weights) < CONTRAST * CONTRAST) continue;
      if (unrest !== undefined) weighAgainst(unrest, PRODUCTS * Math.floor(i / LOOK_EVERY), rise, weights);
      // Light before the edge is 0 and after it all of the rise: sum·step = rise·(reach − at).
      const at = reach - (product(sums, weights) * step) / product(rise, weights);
      if (Math.abs(at) <= reach / 2) found[i] = at;
    }
    return found;
  }

  unrestAlong(ring: Points2, normals: Points2): Unrest {
    return unrestAlong(this.whole, ring, normals);
  }
}

/**
 * By channel along a line: the difference between the means of the outer quarters into `rise`, the sum of all samples over the
 * first of them into `sums`, and the difference over the variance within the quarters into `weights`.
 */
function readSides(
  samples: Float64Array,
  steps: number,
  rise: Float64Array,
  sums: Float64Array,
  weights: Float64Array,
): void {
  const quarter = steps >> 2;
  const first = CHANNELS * quarter;
  const last = CHANNELS * (steps - quarter);
  for (let channel = 0; channel < CHANNELS; channel++) {
    let a = 0;
    let aa = 0;
    let b = 0;
    let bb = 0;
    let between = 0;
    let at = channel;
    for (; at < first; at += CHANNELS) {
      const light = samples[at];
      a += light;
      aa += light * light;
    }
    for (; at < last; at += CHANNELS) between += samples[at];
    for (; at < CHANNELS * steps; at += CHANNELS) {
      const light = samples[at];
      b += light;
      bb += light * light;
    }
    const near = a / quarter;
    const far = b / quarter;
    const variance = Math.max(0, aa / quarter - near * near + (bb / quarter - far * far)) / 2;
    rise[channel] = far - near;
    sums[channel] = a + between + b - steps * near;
    weights[channel] = (far - near) / (LEAST_VARIANCE + variance);
  }
}

/**
 * Weights of the channels by which a rise stands out most against the unrest at `at`, but for a factor: the one times the adjugate
 * of the other, which is its inverse but for that.
 */
function weighAgainst(unrest: Unrest, at: number, rise: Float64Array, into: Float64Array): void {
  const rr = unrest[at];
  const rg = unrest[at + 1];
  const rb = unrest[at + 2];
  const gg = unrest[at + 3];
  const gb = unrest[at + 4];
  const bb = unrest[at + 5];
  const withRG = rb * gb - rg * bb;
  const withRB = rg * gb - rb * gg;
  const withGB = rg * rb - rr * gb;
  into[0] = (gg * bb - gb * gb) * rise[0] + withRG * rise[1] + withRB * rise[2];
  into[1] = withRG * rise[0] + (rr * bb - rb * rb) * rise[1] + withGB * rise[2];
  into[2] = withRB * rise[0] + withGB * rise[1] + (rr * gg - rg * rg) * rise[2];
}

function product(a: Float64Array, b: Float64Array): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/** Means over the looks about each; positive definite, for even a plain side has its variance. */
function unrestAlong(picture: WholePixels, ring: Points2, normals: Points2): Unrest {
  const products = productsAlong(picture, ring, normals);
  const looks = products.length / PRODUCTS;
  const reach = Math.min(TOGETHER, Math.floor((looks - 1) / 2));
  const window = new Float64Array(PRODUCTS);
  for (let i = -reach; i <= reach; i++) addLook(window, products, i, looks, 1);
  const means = new Float64Array(products.length);
  const share = 1 / (2 * (2 * reach + 1));
  for (let i = 0, at = 0; i < looks; i++, at += PRODUCTS) {
    for (let k = 0; k < PRODUCTS; k++) means[at + k] = window[k] * share;
    for (const square of SQUARES) means[at + square] += LEAST_VARIANCE;
    addLook(window, products, i - reach, looks, -1);
    addLook(window, products, i + reach + 1, looks, 1);
  }
  return means;
}

/** Adds the products of a look, of so many round the ring, or with `sign` −1 takes them off. */
function addLook(
  window: Float64Array,
  products: Float64Array,
  look: number,
  looks: number,
  sign: number,
): void {
  const at = PRODUCTS * ((look + looks) % looks);
  for (let k = 0; k < PRODUCTS; k++) window[k] += sign * products[at + k];
}

/** By look along a ring the products of what colours change by between BEFORE and BEYOND, both sides summed. */
function productsAlong(picture: WholePixels, ring: Points2, normals: Points2): Float64Array {
  const looks = Math.ceil(ring.length / 2 / LOOK_EVERY);
  const products = new Float64Array(PRODUCTS * looks);
  const line = new Float64Array(4);
  const lights = new Float64Array(CHANNELS * ACROSS);
  const step = BEYOND - BEFORE;
  for (let look = 0; look < looks; look++) {
    const at = 2 * LOOK_EVERY * look;
    const nx = normals[at];
    const ny = normals[at + 1];
    line[0] = ring[at] - BEYOND * nx;
    line[1] = ring[at + 1] - BEYOND * ny;
    line[2] = step * nx;
    line[3] = step * ny;
    lightAlong(picture, line, ACROSS, lights);
    addProducts(products, PRODUCTS * look, lights, 0, CHANNELS);
    addProducts(products, PRODUCTS * look, lights, CHANNELS * (ACROSS - 2), CHANNELS * (ACROSS - 1));
  }
  return products;
}

/** Adds the products of the differences between two colours of a line. */
function addProducts(into: Float64Array, at: number, lights: Float64Array, from: number, to: number): void {
  const r = lights[to] - lights[from];
  const g = lights[to + 1] - lights[from + 1];
  const b = lights[to + 2] - lights[from + 2];
  into[at] += r * r;
  into[at + 1] += r * g;
  into[at + 2] += r * b;
  into[at + 3] += g * g;
  into[at + 4] += g * b;
  into[at + 5] += b * b;
}
