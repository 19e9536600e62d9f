import { type ClosedLine, distanceBack } from './closedLine.ts';

/**
 * Standard deviation of point-to-point noise in a closed line, across the line where it has two coordinates or more.
 * From differences that cancel slope and curvature, between points `lag` steps apart; the median keeps corners from counting.
 */
export function lineNoise(line: ClosedLine, lag = 1): number {
  const n = line.arc.length;
  if (n < 16 * lag) return 0;
  const { channels } = line;
  const size =
    channels.length === 1
      ? straysAlong(offChord(line, channels[0], lag), lag)
      : straysAcross(
          channels[0],
          channels[1],
          offChord(line, channels[0], lag),
          offChord(line, channels[1], lag),
          lag,
        );
  size.sort();
  // 0.6745: median of |N(0, 1)|. √4.375: norm of the filter ¼, −1, 1½, −1, ¼.
  return size[n >> 1] / 0.6745 / Math.sqrt(4.375);
}

/** How far each point of one coordinate lies off the chord between the points `lag` steps before and after it. */
function offChord({ arc, length }: ClosedLine, c: Float64Array, lag: number): Float64Array {
  const n = arc.length;
  const residual = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const a = distanceBack(arc, length, n, i, lag);
    const b = distanceBack(arc, length, n, (i + lag) % n, lag);
    const w = a + b > 0 ? b / (a + b) : 0.5;
    residual[i] = c[i] - w * c[(i + n - lag) % n] - (1 - w) * c[(i + lag) % n];
  }
  return residual;
}

/** The same less that of the points `lag` steps off, which cancels curvature; magnitudes. */
function straysAlong(r: Float64Array, lag: number): Float64Array {
  const n = r.length;
  const size = new Float64Array(n);
  for (let i = 0; i < n; i++) size[i] = Math.abs(r[i] - (r[(i + n - lag) % n] + r[(i + lag) % n]) / 2);
  return size;
}

/** The same across the local direction of a line in the plane: spacing along the line is not noise. */
function straysAcross(
  x: Float64Array,
  y: Float64Array,
  rx: Float64Array,
  ry: Float64Array,
  lag: number,
): Float64Array {
  const n = x.length;
  const size = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const before = (i + n - lag) % n;
    const after = (i + lag) % n;
    const tx = x[(i + 2 * lag) % n] - x[(i + n - 2 * lag) % n];
    const ty = y[(i + 2 * lag) % n] - y[(i + n - 2 * lag) % n];
    const t = Math.hypot(tx, ty) || 1;
    const here = (ry[i] * tx - rx[i] * ty) / t;
    const one = (ry[before] * tx - rx[before] * ty) / t;
    const other = (ry[after] * tx - rx[after] * ty) / t;
    size[i] = Math.abs(here - (one + other) / 2);
  }
  return size;
}
