/**
 * What the definition of the edge angle gives for faces known as functions, by its own plain route: the section plane is
 * solved for point by point, and the line of least squares comes from sums over many small steps.
 */
export type Face = (x: number, y: number) => number;
export type Triple = readonly [number, number, number];

export interface SpanTruth {
  /** Angle between the fitted faces, degrees. */
  readonly angle: number;
  /** Thickness square to the bisector, turned into a caliper angle at `depth` (mm), degrees. */
  caliper(depth: number): number;
}

/**
 * @param point on the margin; @param tangent of the margin there (clockwise seen from +z), any length
 * @param inner, outer limits of the fitted span, in-plane distance from the point, mm
 */
export function spanTruth(
  top: Face,
  bottom: Face,
  point: Triple,
  tangent: Triple,
  inner: number,
  outer: number,
  steps = 2000,
): SpanTruth {
  const size = Math.hypot(...tangent);
  const t = tangent.map((v) => v / size);
  const level = Math.hypot(t[0], t[1]);
  const u: Triple = [t[1] / level, -t[0] / level, 0];
  const w: Triple = [-t[2] * (t[0] / level), -t[2] * (t[1] / level), level];
  const a = fitArm(arm(top, point, u, w, 1.5 * outer, steps), inner, outer);
  const b = fitArm(arm(bottom, point, u, w, 1.5 * outer, steps), inner, outer);
  const bisector = (a + b) / 2;
  return {
    angle: ((a - b) * 180) / Math.PI,
    caliper(depth) {
      const high = heightAt(arm(top, point, u, w, 2 * depth, steps), bisector, depth);
      const low = heightAt(arm(bottom, point, u, w, 2 * depth, steps), bisector, depth);
      return (2 * Math.atan((high - low) / (2 * depth)) * 180) / Math.PI;
    },
  };
}

/** Points u, w of a face in the plane, u from 0 to `reach` in even steps. */
function arm(face: Face, p: Triple, u: Triple, w: Triple, reach: number, steps: number): [number, number][] {
  const points: [number, number][] = [];
  let height = 0;
  for (let k = 1; k <= steps; k++) {
    const along = (reach * k) / steps;
    // Fixed-point steps on the height in the plane: w·z = f(x, y) − p.z, f nearly level against w.
    const rest = (h: number): number =>
      (face(p[0] + along * u[0] + h * w[0], p[1] + along * u[1] + h * w[1]) - p[2]) / w[2] - h;
    let h0 = height;
    let h1 = height + 1e-4;
    for (let round = 0; round < 60 && Math.abs(h1 - h0) > 1e-12; round++) {
      const r0 = rest(h0);
      const r1 = rest(h1);
      const next = r1 === r0 ? h1 : h1 - (r1 * (h1 - h0)) / (r1 - r0);
      h0 = h1;
      h1 = next;
    }
    height = h1;
    points.push([along, height]);
  }
  return points;
}

/** Direction (radians against u) of the line of least squared distance through the points within the ring. */
function fitArm(points: readonly [number, number][], inner: number, outer: number): number {
  let [n, su, sw, suu, suw, sww] = [0, 0, 0, 0, 0, 0];
  for (let i = 1; i < points.length; i++) {
    const [au, aw] = points[i - 1];
    const [bu, bw] = points[i];
    const [mu, mw] = [(au + bu) / 2, (aw + bw) / 2];
    const distance = Math.hypot(mu, mw);
    if (distance < inner || distance > outer) continue;
    const length = Math.hypot(bu - au, bw - aw);
    n += length;
    su += length * mu;
    sw += length * mw;
    suu += length * mu * mu;
    suw += length * mu * mw;
    sww += length * mw * mw;
  }
  return Math.atan2(2 * (suw - (su * sw) / n), suu - (su * su) / n - (sww - (sw * sw) / n)) / 2;
}

function heightAt(points: readonly [number, number][], bisector: number, depth: number): number {
  const [c, s] = [Math.cos(bisector), Math.sin(bisector)];
  for (let i = 1; i < points.length; i++) {
    const [u, w] = points[i];
    const d = u * c + w * s;
    if (d < depth) continue;
    const [pu, pw] = points[i - 1];
    const f = (depth - (pu * c + pw * s)) / (d - (pu * c + pw * s));
    return (pw + f * (w - pw)) * c - (pu + f * (u - pu)) * s;
  }
  return NaN;
}
