/**
 * Moments of line segments in a plane, every piece weighted by its length: six numbers
 * [∫1, ∫u, ∫w, ∫u², ∫uw, ∫w²]. Sums of moments are moments, so that a fit costs one pass and no storage.
 */
export type SegmentMoments = Float64Array;

export function segmentMoments(): SegmentMoments {
  return new Float64Array(6);
}

/** Adds the segment from a to b, exactly: second moments of a segment are those of its middle plus d·d/12. */
export function addSegment(m: SegmentMoments, au: number, aw: number, bu: number, bw: number): void {
  const du = bu - au;
  const dw = bw - aw;
  const length = Math.sqrt(du * du + dw * dw);
  const cu = (au + bu) / 2;
  const cw = (aw + bw) / 2;
  m[0] += length;
  m[1] += length * cu;
  m[2] += length * cw;
  m[3] += length * (cu * cu + (du * du) / 12);
  m[4] += length * (cu * cw + (du * dw) / 12);
  m[5] += length * (cw * cw + (dw * dw) / 12);
}

/** Adds those parts of the segment that lie between `inner` and `outer` from the origin. */
export function addSegmentInRing(
  m: SegmentMoments,
  au: number,
  aw: number,
  bu: number,
  bw: number,
  inner: number,
  outer: number,
): void {
  const aa = au * au + aw * aw;
  const bb = bu * bu + bw * bw;
  const inner2 = inner * inner;
  const outer2 = outer * outer;
  if (aa <= inner2 && bb <= inner2) return;
  const du = bu - au;
  const dw = bw - aw;
  const dd = du * du + dw * dw;
  if (dd === 0) return;
  // |a + t·d|² = r² ⇔ t = middle ± √(middle² − (aa − r²)/dd)
  const middle = -(au * du + aw * dw) / dd;
  const wide = middle * middle - (aa - outer2) / dd;
  if (wide <= 0) return;
  const from = Math.max(0, middle - Math.sqrt(wide));
  const to = Math.min(1, middle + Math.sqrt(wide));
  if (from >= to) return;
  const narrow = middle * middle - (aa - inner2) / dd;
  const half = narrow > 0 ? Math.sqrt(narrow) : 0;
  const hole0 = Math.min(to, middle - half);
  const hole1 = Math.max(from, middle + half);
  const part = (t0: number, t1: number): void => {
    if (t1 > t0) addSegment(m, au + t0 * du, aw + t0 * dw, au + t1 * du, aw + t1 * dw);
  };
  if (half === 0) part(from, to);
  else {
    part(from, hole0);
    part(hole1, to);
  }
}

/**
 * Adds to `sum` the moments of `part` about its own centroid (first moments become zero). Summing several parts this
 * way and fitting once gives the direction that parallel lines, each with its own offset, have in common.
 */
export function addCentred(sum: SegmentMoments, part: SegmentMoments): void {
  const length = part[0];
  if (length === 0) return;
  sum[0] += length;
  sum[3] += part[3] - (part[1] * part[1]) / length;
  sum[4] += part[4] - (part[1] * part[2]) / length;
  sum[5] += part[5] - (part[2] * part[2]) / length;
}

export interface LineFit {
  /** Direction against the u axis, radians in (−π/2, π/2]. */
  readonly direction: number;
  /** Centroid. */
  readonly u: number;
  readonly w: number;
  /** Variance along the line and across it (the mean squared residual). */
  readonly along: number;
  readonly across: number;
  readonly length: number;
}

/**
 * Line of least squared distance through the segments: principal axis of their second moments, in closed form
 * (K. Pearson 1901, On lines and planes of closest fit).
 */
export function fitLine(m: SegmentMoments): LineFit {
  const length = m[0];
  const u = m[1] / length;
  const w = m[2] / length;
  const uu = m[3] / length - u * u;
  const uw = m[4] / length - u * w;
  const ww = m[5] / length - w * w;
  const half = Math.hypot((uu - ww) / 2, uw);
  const mean = (uu + ww) / 2;
  return {
    direction: Math.atan2(2 * uw, uu - ww) / 2,
    u,
    w,
    along: mean + half,
    across: Math.max(0, mean - half),
    length,
  };
}
