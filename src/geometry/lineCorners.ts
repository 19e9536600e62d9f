import { type ClosedLine, distanceBack } from './closedLine.ts';

/** A line that turns by more than this between its two sides has a corner there. */
const CORNER = (25 * Math.PI) / 180;
/** Uncertainty to which the direction of either side must be known to judge a corner. */
const DIRECTION_SIGMA = (4 * Math.PI) / 180;

/**
 * Points at which a closed line in the plane turns sharply: the directions of the stretches before and after, each as
 * long as the noise demands, differ by more than CORNER. Of neighbours within a stretch only the sharpest counts.
 */
export function findCorners(line: ClosedLine, sigma: number): number[] {
  const n = line.arc.length;
  const spacing = line.length / n;
  const [x, y] = line.channels;
  // Slope of m equally spaced points: standard error σ √12 / (m^1.5 · spacing).
  const wanted = ((sigma * Math.sqrt(12)) / (spacing * DIRECTION_SIGMA)) ** (2 / 3);
  const m = Math.min(Math.max(4, Math.ceil(wanted)), Math.floor(n / 8));
  if (m < 4) return [];
  const turn = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const a = direction(x, y, i, m);
    const b = direction(x, y, i, -m);
    const raw = a - b - Math.PI;
    turn[i] = Math.abs(Math.atan2(Math.sin(raw), Math.cos(raw)));
  }
  const corners: number[] = [];
  for (let i = 0; i < n; i++) {
    if (turn[i] < CORNER) continue;
    let sharpest = true;
    for (let k = 1; k <= m && sharpest; k++) {
      if (turn[(i + k) % n] > turn[i] || turn[(i - k + n) % n] >= turn[i]) sharpest = false;
    }
    if (sharpest) corners.push(i);
  }
  return corners;
}

/** Direction from point i along the m points after it (before it, where m is negative), by total least squares. */
function direction(x: Float64Array, y: Float64Array, i: number, m: number): number {
  const n = x.length;
  const step = Math.sign(m);
  const count = Math.abs(m) + 1;
  let sx = 0;
  let sy = 0;
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (let k = 0; k < count; k++) {
    const j = (i + step * k + n) % n;
    const dx = x[j] - x[i];
    const dy = y[j] - y[i];
    sx += dx;
    sy += dy;
    xx += dx * dx;
    xy += dx * dy;
    yy += dy * dy;
  }
  const angle =
    Math.atan2(2 * (xy - (sx * sy) / count), xx - (sx * sx) / count - (yy - (sy * sy) / count)) / 2;
  return Math.cos(angle) * sx + Math.sin(angle) * sy >= 0 ? angle : angle + Math.PI;
}

/** Arc length from each point back and ahead to the nearest corner; Infinity without corners. */
export function roomToCorners(
  line: ClosedLine,
  corners: readonly number[],
): { back: Float64Array; ahead: Float64Array } {
  const n = line.arc.length;
  const back = new Float64Array(n).fill(Infinity);
  const ahead = new Float64Array(n).fill(Infinity);
  if (corners.length === 0) return { back, ahead };
  const k = corners.length;
  for (let c = 0; c < k; c++) {
    const from = corners[c];
    const to = corners[(c + 1) % k];
    const start = line.arc[from];
    const span = ((to - from + n - 1) % n) + 1;
    const end = start + distanceBack(line.arc, line.length, n, to, span === n ? n : span);
    for (let s = 0; s <= span; s++) {
      const i = (from + s) % n;
      const here = line.arc[i] + (line.arc[i] < start || (s > 0 && i === from) ? line.length : 0);
      if (s > 0) back[i] = here - start;
      if (s < span) ahead[i] = end - here;
    }
  }
  return { back, ahead };
}
