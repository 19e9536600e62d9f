import type { Points2, Points3 } from '../../src/geometry/types.ts';
import type { PieceField } from './field.ts';
import type { FramePlan } from './framePlan.ts';

/** The exact margin, four points to each polygon edge, from the tip clockwise seen on Face A. */
export function marginLine(field: PieceField, plan: FramePlan, outline: Points2, up: boolean): Points3 {
  const n = outline.length / 2;
  let tip = 0;
  for (let i = 1; i < n; i++) if (outline[2 * i + 1] > outline[2 * tip + 1]) tip = i;
  const out = new Float64Array(12 * n);
  for (let k = 0; k < 4 * n; k++) {
    const i = (tip - Math.floor(k / 4) + n) % n;
    const j = (i - 1 + n) % n;
    const f = (k % 4) / 4;
    const x = outline[2 * i] * (1 - f) + outline[2 * j] * f;
    const y = outline[2 * i + 1] * (1 - f) + outline[2 * j + 1] * f;
    const z = field.margin(...plan.toDesign(x, y));
    out.set([x, y, up ? z : -z], 3 * k);
  }
  return out;
}

/** Points of a side with stations 5…95, base to tip. The right side comes first from the tip. */
export function sideOf(margin: Points3, length: number, side: 'left' | 'right'): Points3 {
  const n = margin.length / 3;
  let base = 0;
  for (let i = 1; i < n; i++) if (margin[3 * i + 1] < margin[3 * base + 1]) base = i;
  const indices: number[] = [];
  if (side === 'right') for (let i = base; i >= 0; i--) indices.push(i);
  else for (let i = base; i <= n; i++) indices.push(i % n);
  // The two ends are cut exactly at the stations.
  const [low, high] = [0.05 * length, 0.95 * length];
  let first = 0;
  while (margin[3 * indices[first + 1] + 1] < low) first++;
  let last = indices.length - 1;
  while (margin[3 * indices[last - 1] + 1] > high) last--;
  const out: number[] = [];
  for (let k = first; k <= last; k++) {
    let point = at(margin, indices[k]);
    if (k === first) point = cutAt(point, at(margin, indices[k + 1]), low);
    if (k === last) point = cutAt(at(margin, indices[k - 1]), point, high);
    out.push(...point);
  }
  return Float64Array.from(out);
}

function at(p: Points3, i: number): [number, number, number] {
  return [p[3 * i], p[3 * i + 1], p[3 * i + 2]];
}

function cutAt(p: readonly number[], q: readonly number[], y: number): [number, number, number] {
  const f = (y - p[1]) / (q[1] - p[1]);
  return [p[0] + f * (q[0] - p[0]), y, p[2] + f * (q[2] - p[2])];
}

/**
 * The closed margin with its height smoothed as the definition of sinuosity asks: weights g(u)·(3 − u²)/2 of the arc length
 * u in units of σ = scale/2, g the Gaussian, so that parabolas pass unchanged. Trapezoid rule over the margin's points.
 */
export function smoothed(margin: Points3, scale: number): Points3 {
  const n = margin.length / 3;
  const sigma = scale / 2;
  const step = Float64Array.from({ length: n }, (_, i) => {
    const [a, b] = [at(margin, i), at(margin, (i + 1) % n)];
    return Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]);
  });
  const out = new Float64Array(margin.length);
  for (let i = 0; i < n; i++) {
    let sum = 0;
    let weights = 0;
    const add = (j: number, u: number) => {
      const weight = ((step[j] + step[(j - 1 + n) % n]) / 2) * Math.exp((-u * u) / 2) * (3 - u * u);
      weights += weight;
      sum += weight * margin[3 * j + 2];
    };
    add(i, 0);
    for (let j = i, u = 0; ; ) {
      u += step[j] / sigma;
      j = (j + 1) % n;
      if (u > 5) break;
      add(j, u);
    }
    for (let j = i, u = 0; ; ) {
      j = (j - 1 + n) % n;
      u += step[j] / sigma;
      if (u > 5) break;
      add(j, u);
    }
    out.set([margin[3 * i], margin[3 * i + 1], sum / weights], 3 * i);
  }
  return out;
}

/** Length seen edge-on (y–z) over the straight distance of the ends there. */
export function sinuosity(p: Points3): number {
  const n = p.length / 3;
  let sum = 0;
  for (let i = 1; i < n; i++) sum += Math.hypot(p[3 * i + 1] - p[3 * i - 2], p[3 * i + 2] - p[3 * i - 1]);
  return sum / Math.hypot(p[3 * n - 2] - p[1], p[3 * n - 1] - p[2]);
}

/** RMS of z about its least-squares line in y, every millimetre in plan counting the same, mm. */
export function wander(p: Points3): number {
  const n = p.length / 3;
  let [w, sy, sz, syy, syz, szz] = [0, 0, 0, 0, 0, 0];
  for (let i = 1; i < n; i++) {
    const [a, b] = [at(p, i - 1), at(p, i)];
    const ds = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const [y, z] = [(a[1] + b[1]) / 2, (a[2] + b[2]) / 2];
    w += ds;
    sy += ds * y;
    sz += ds * z;
    syy += ds * y * y;
    syz += ds * y * z;
    szz += ds * z * z;
  }
  const [cyy, cyz, czz] = [syy - (sy * sy) / w, syz - (sy * sz) / w, szz - (sz * sz) / w];
  return Math.sqrt(Math.max(0, (czz - (cyz * cyz) / cyy) / w));
}
