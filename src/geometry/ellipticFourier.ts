import { planarCurve } from './curvePlanar.ts';
import type { Points2 } from './types.ts';

/**
 * Elliptic Fourier coefficients of a closed curve: with t the arc length over the whole length,
 * x(t) = a0 + Σ aₙ cos 2πnt + bₙ sin 2πnt and y(t) = c0 + Σ cₙ cos 2πnt + dₙ sin 2πnt; index 0 is harmonic 1.
 */
export interface EllipticFourier {
  readonly a: Float64Array;
  readonly b: Float64Array;
  readonly c: Float64Array;
  readonly d: Float64Array;
  readonly a0: number;
  readonly c0: number;
}

/** Exact for polygons (F. P. Kuhl & C. R. Giardina 1982). The ring's first point has t = 0. O(points × harmonics). */
export function ellipticFourier(ring: Points2, harmonics: number): EllipticFourier {
  const { arc, length } = planarCurve(ring);
  const n = arc.length;
  const a = new Float64Array(harmonics);
  const b = new Float64Array(harmonics);
  const c = new Float64Array(harmonics);
  const d = new Float64Array(harmonics);
  let a0 = 0;
  let c0 = 0;
  // cos and sin of 2πh·t at the last and at the next point; harmonics follow from the first by angle addition.
  let last = waves(0, harmonics);
  let next = waves(0, harmonics);
  const slopes = new Float64Array(2);
  for (let i = 0; i < n; i++) {
    const j = i + 1 < n ? i + 1 : 0;
    const end = j === 0 ? length : arc[j];
    const ds = end - arc[i];
    if (!(ds > 0)) continue;
    a0 += (ds * (ring[2 * i] + ring[2 * j])) / 2;
    c0 += (ds * (ring[2 * i + 1] + ring[2 * j + 1])) / 2;
    slopes[0] = (ring[2 * j] - ring[2 * i]) / ds;
    slopes[1] = (ring[2 * j + 1] - ring[2 * i + 1]) / ds;
    setWaves(next, j === 0 ? 0 : (2 * Math.PI * end) / length);
    addEdge(slopes, last, next, a, b, c, d);
    const spare = last;
    last = next;
    next = spare;
  }
  for (const part of [a, b, c, d]) {
    for (let h = 0; h < harmonics; h++) part[h] *= length / (2 * Math.PI ** 2 * (h + 1) ** 2);
  }
  return { a, b, c, d, a0: a0 / length, c0: c0 / length };
}

/** Adds what an edge of such slopes of x and y brings to all coefficients, from the waves at its ends. */
function addEdge(
  slopes: Float64Array,
  last: Float64Array,
  next: Float64Array,
  a: Float64Array,
  b: Float64Array,
  c: Float64Array,
  d: Float64Array,
): void {
  const slopeX = slopes[0];
  const slopeY = slopes[1];
  for (let h = 0; h < a.length; h++) {
    const cos = next[2 * h] - last[2 * h];
    const sin = next[2 * h + 1] - last[2 * h + 1];
    a[h] += slopeX * cos;
    b[h] += slopeX * sin;
    c[h] += slopeY * cos;
    d[h] += slopeY * sin;
  }
}

/** cos and sin of 1…harmonics times an angle, interleaved. */
function waves(angle: number, harmonics: number): Float64Array {
  const out = new Float64Array(2 * harmonics);
  setWaves(out, angle);
  return out;
}

function setWaves(out: Float64Array, angle: number): void {
  const cos = Math.cos(angle);
  const sin = Math.sin(angle);
  let c = 1;
  let s = 0;
  for (let k = 0; k < out.length; k += 2) {
    const turned = c * cos - s * sin;
    s = s * cos + c * sin;
    c = turned;
    out[k] = c;
    out[k + 1] = s;
  }
}

/** The coefficients of the same curve when its point at t = `share` becomes the one at t = 0. */
export function startedAt({ a, b, c, d, a0, c0 }: EllipticFourier, share: number): EllipticFourier {
  const n = a.length;
  const wave = waves(2 * Math.PI * share, n);
  const out = {
    a: new Float64Array(n),
    b: new Float64Array(n),
    c: new Float64Array(n),
    d: new Float64Array(n),
  };
  for (let i = 0; i < n; i++) {
    const cos = wave[2 * i];
    const sin = wave[2 * i + 1];
    out.a[i] = a[i] * cos + b[i] * sin;
    out.b[i] = b[i] * cos - a[i] * sin;
    out.c[i] = c[i] * cos + d[i] * sin;
    out.d[i] = d[i] * cos - c[i] * sin;
  }
  return { ...out, a0, c0 };
}

/** The coefficients of the same curve turned by −angle (radians) about the origin. */
export function turnedFourier({ a, b, c, d, a0, c0 }: EllipticFourier, angle: number): EllipticFourier {
  const cos = Math.cos(angle);
  const sin = Math.sin(angle);
  const onX = (x: Float64Array, y: Float64Array): Float64Array => x.map((v, i) => v * cos + y[i] * sin);
  const onY = (x: Float64Array, y: Float64Array): Float64Array => y.map((v, i) => v * cos - x[i] * sin);
  return {
    ...{ a: onX(a, c), b: onX(b, d), c: onY(a, c), d: onY(b, d) },
    a0: a0 * cos + c0 * sin,
    c0: c0 * cos - a0 * sin,
  };
}

/**
 * Free of place, size, turn and start: the start is moved to an end of the first harmonic's major axis, that axis turned
 * to +x and its half made 1. Of its two ends the one is taken that lies towards (towardsX, towardsY), so that shapes
 * that are alike but for half a turn stay apart.
 */
export function normalizeFourier(f: EllipticFourier, towardsX: number, towardsY: number): EllipticFourier {
  const harmonics = f.a.length;
  const a1 = f.a[0];
  const b1 = f.b[0];
  const c1 = f.c[0];
  const d1 = f.d[0];
  let start = Math.atan2(2 * (a1 * b1 + c1 * d1), a1 * a1 + c1 * c1 - b1 * b1 - d1 * d1) / 2;
  let x = a1 * Math.cos(start) + b1 * Math.sin(start);
  let y = c1 * Math.cos(start) + d1 * Math.sin(start);
  if (x * towardsX + y * towardsY < 0) {
    start += Math.PI;
    x = -x;
    y = -y;
  }
  const size = Math.hypot(x, y);
  const cosTurn = x / size;
  const sinTurn = y / size;
  const out = {
    a: new Float64Array(harmonics),
    b: new Float64Array(harmonics),
    c: new Float64Array(harmonics),
    d: new Float64Array(harmonics),
    a0: 0,
    c0: 0,
  };
  for (let h = 1; h <= harmonics; h++) {
    const i = h - 1;
    const cos = Math.cos(h * start);
    const sin = Math.sin(h * start);
    const a = f.a[i] * cos + f.b[i] * sin;
    const b = f.b[i] * cos - f.a[i] * sin;
    const c = f.c[i] * cos + f.d[i] * sin;
    const d = f.d[i] * cos - f.c[i] * sin;
    out.a[i] = (cosTurn * a + sinTurn * c) / size;
    out.b[i] = (cosTurn * b + sinTurn * d) / size;
    out.c[i] = (cosTurn * c - sinTurn * a) / size;
    out.d[i] = (cosTurn * d - sinTurn * b) / size;
  }
  return out;
}

/** `count` points of the curve at equal steps of t. */
export function fourierCurve(f: EllipticFourier, count: number): Points2 {
  const out = new Float64Array(2 * count);
  const wave = waves(0, f.a.length);
  for (let k = 0; k < count; k++) {
    let x = f.a0;
    let y = f.c0;
    setWaves(wave, (2 * Math.PI * k) / count);
    for (let i = 0; i < f.a.length; i++) {
      x += f.a[i] * wave[2 * i] + f.b[i] * wave[2 * i + 1];
      y += f.c[i] * wave[2 * i] + f.d[i] * wave[2 * i + 1];
    }
    out[2 * k] = x;
    out[2 * k + 1] = y;
  }
  return out;
}
