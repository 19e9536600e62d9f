/** A plan shape that a knapper aims at: half-widths left and right of a bent axis along y, 0…length. mm. */
export interface Planform {
  readonly length: number;
  readonly width: number;
  /** Rounder toward 0.3, pointed toward 1: how fast the width goes to nothing at the base and at the tip. */
  readonly base: number;
  readonly tip: number;
  /** The right side is fuller by this share, the left leaner. */
  readonly lean?: number;
  /** Sideways bow of the axis at mid-length, mm. */
  readonly bow?: number;
  /** Where the origin of the stone lies on the length, 0…1. */
  readonly centre?: number;
}

export interface Ring {
  /** Points counter-clockwise, evenly spaced, with unit normals that point inward. mm. */
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly nx: Float64Array;
  readonly ny: Float64Array;
  readonly step: number;
}

/** Half-width (mm) at share t of the length. */
export function halfWidthAt(form: Planform, t: number): number {
  if (t <= 0 || t >= 1) return 0;
  const peak = form.base / (form.base + form.tip);
  const scale = form.width / 2 / (peak ** form.base * (1 - peak) ** form.tip);
  return scale * t ** form.base * (1 - t) ** form.tip;
}

/** Share of the length, and place across (−1 left margin … 1 right margin), of a plan point. */
export function placeIn(form: Planform, x: number, y: number): { t: number; across: number; half: number } {
  const t = y / form.length + (form.centre ?? 0.5);
  const half = halfWidthAt(form, t);
  const axis = (form.bow ?? 0) * 4 * t * (1 - t);
  const side = x >= axis ? 1 + (form.lean ?? 0) : 1 - (form.lean ?? 0);
  return { t, across: half > 0 ? (x - axis) / (half * side) : Infinity, half };
}

export function ringOf(form: Planform, spacing: number): Ring {
  const fine: number[][] = [];
  const count = 900;
  const at = (t: number, side: 1 | -1): number[] => {
    const axis = (form.bow ?? 0) * 4 * t * (1 - t);
    const half = halfWidthAt(form, t) * (1 + side * (form.lean ?? 0));
    return [axis + side * half, (t - (form.centre ?? 0.5)) * form.length];
  };
  // sin² crowds the samples where the ends turn.
  const share = (i: number): number => Math.sin((Math.PI / 2) * (i / count)) ** 2;
  for (let i = 0; i < count; i++) fine.push(at(share(i), 1));
  for (let i = count; i > 0; i--) fine.push(at(share(i), -1));
  return resampled(fine, spacing);
}

function resampled(points: number[][], spacing: number): Ring {
  const n = points.length;
  const arc = [0];
  for (let i = 0; i < n; i++) {
    const [p, q] = [points[i], points[(i + 1) % n]];
    arc.push(arc[i] + Math.hypot(q[0] - p[0], q[1] - p[1]));
  }
  const count = Math.max(12, Math.round(arc[n] / spacing));
  const step = arc[n] / count;
  const x = new Float64Array(count);
  const y = new Float64Array(count);
  for (let k = 0, i = 0; k < count; k++) {
    while (arc[i + 1] < k * step) i++;
    const f = (k * step - arc[i]) / (arc[i + 1] - arc[i]);
    const [p, q] = [points[i], points[(i + 1) % n]];
    x[k] = p[0] + f * (q[0] - p[0]);
    y[k] = p[1] + f * (q[1] - p[1]);
  }
  const nx = new Float64Array(count);
  const ny = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    const a = (k + count - 1) % count;
    const b = (k + 1) % count;
    const length = Math.hypot(x[b] - x[a], y[b] - y[a]);
    nx[k] = -(y[b] - y[a]) / length;
    ny[k] = (x[b] - x[a]) / length;
  }
  return { x, y, nx, ny, step };
}
