import { type Smoothed, smoothClosedLine } from '../geometry/adaptiveSmooth.ts';
import { type Basis, basisFrom, dot, lineAngle, unit } from '../geometry/basis.ts';
import type { ClosedLine } from '../geometry/closedLine.ts';
import { meetAtCorner } from '../geometry/cornerMeet.ts';
import { findCorners, roomToCorners } from '../geometry/lineCorners.ts';
import { withoutSpikes } from '../geometry/lineSpikes.ts';
import { type LineSpread, lineSpread } from '../geometry/lineSpread.ts';
import { planeOfClosedLine } from '../geometry/planeOfLine.ts';
import type { Silhouette } from '../geometry/silhouette.ts';
import type { Vector3 } from '../geometry/symmetricEigen.ts';
import type { Hooks, Points3 } from '../geometry/types.ts';
import type { PointErrors } from './types.ts';

/** The rim of a piece in a basis whose z is square to the margin plane. */
export interface Rim {
  readonly basis: Basis;
  /** Outer ring, counter-clockwise in x, y of the basis; z is the height of the margin. Free of noise. */
  readonly outer: Points3;
  readonly inner: readonly Points3[];
  /** z of the margin plane in the basis. */
  readonly level: number;
  /** Degrees by which the plane still moved in the last round. */
  readonly unsettled: number;
  readonly rounds: number;
  /** Noise of the traced line in plan before it was taken off, mm. */
  readonly spread: LineSpread;
  /** What each point of `outer` may be off by. */
  readonly left: PointErrors;
}

/** Noise of the faces, mm: of each vertex by itself, and the most that neighbours may share. */
export interface FaceNoise {
  readonly own: number;
  readonly shared: number;
}

const MOST_ROUNDS = 24;
/** Noise below this share of the spacing of points may be the line's own shape. */
const LEAST_SPREAD = 0.02;

/**
 * Trace → fit → trace until the margin plane rests.
 * The first guess is the direction in which the surface is thinnest; the rim seen along it gives a better plane.
 * By the noise of the faces that of the rim is told from its shape.
 * `heights` may correct the heights of a ring before the plane is fitted, and tells where they are a matter of choice.
 */
export function settleMarginPlane(
  silhouette: Silhouette,
  guess: { readonly thin: Vector3; readonly long: Vector3 },
  widest: number,
  settled: number,
  faces: FaceNoise,
  heights: (ring: Points3, basis: Basis) => { readonly ring: Points3; readonly half: Float64Array },
  hooks: Hooks = {},
): Rim {
  let basis = basisFrom(guess.thin, guess.long);
  let previous: Vector3 | undefined;
  for (let round = 1; ; round++) {
    hooks.signal?.throwIfAborted();
    hooks.progress?.(Math.min(0.9, round / 8), 'margin plane');
    const seen = silhouette.rings(basis);
    // Noise averages out of the plane by itself: it is taken off the line once the plane rests.
    const { ring, half } = dropCrowded(heights(seen.outer, basis));
    const plane = planeOfClosedLine(ring);
    const n = plane.normal;
    const { x, y, z } = basis;
    const inScan: Vector3 = [
      n[0] * x[0] + n[1] * y[0] + n[2] * z[0],
      n[0] * x[1] + n[1] * y[1] + n[2] * z[1],
      n[0] * x[2] + n[1] * y[2] + n[2] * z[2],
    ];
    let next = unit(dot(inScan, z) < 0 ? [-inScan[0], -inScan[1], -inScan[2]] : inScan);
    const moved = lineAngle(next, z);
    if (moved < settled || round === MOST_ROUNDS) {
      const outline = withoutNoise(ring, widest, faces);
      return {
        basis,
        outer: outline.points,
        inner: seen.inner,
        level: plane.centroid[2],
        unsettled: moved,
        rounds: round,
        spread: outline.spread,
        left: { ...outline.left, wall: half },
      };
    }
    // A blunt rim can send the plane to and fro: after a while go half-way only.
    if (round > 8 && previous !== undefined) {
      next = unit([next[0] + z[0], next[1] + z[1], next[2] + z[2]]);
    }
    previous = z;
    basis = basisFrom(next, guess.long);
  }
}

/** Denoises the ring in plan and in height, each by its own noise. */
export function withoutNoise(
  ring: Points3,
  widest: number,
  { own, shared }: FaceNoise,
): Pick<Rim, 'spread'> & { left: Omit<PointErrors, 'wall'>; points: Points3 } {
  const n = ring.length / 3;
  const x = new Float64Array(n);
  const y = new Float64Array(n);
  const z = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    x[i] = ring[3 * i];
    y[i] = ring[3 * i + 1];
    z[i] = ring[3 * i + 2];
  }
  const { arc, length } = planArc(x, y);
  const plan: ClosedLine = { channels: [x, y], arc, length };
  const spread = lineSpread(plan, LEAST_SPREAD * (length / n), own, shared);
  const noise = apart(spread);
  const corners = noise > 0 ? findCorners(plan, noise) : [];
  const calmPlan = smoothClosedLine(plan, noise, widest, corners);
  layCorners(plan, calmPlan, spread, corners);
  const raw: ClosedLine = { channels: [z], arc, length };
  const upright = lineSpread(raw, LEAST_SPREAD * (length / n), own, shared);
  const height: ClosedLine = { channels: [withoutSpikes(raw, apart(upright))], arc, length };
  const calmHeight = smoothClosedLine(height, apart(upright), widest, corners);
  const points = new Float64Array(3 * n);
  for (let i = 0; i < n; i++) {
    points[3 * i] = calmPlan.channels[0][i];
    points[3 * i + 1] = calmPlan.channels[1][i];
    points[3 * i + 2] = calmHeight.channels[0][i];
  }
  const left = {
    plan: calmPlan.sigma.map((sigma) => Math.min(sigma, spread.sigma)),
    height: calmHeight.sigma.map((sigma) => Math.min(sigma, upright.sigma)),
  };
  return { points, spread, left };
}

/** Noise of points that err each by itself and that average out as slowly as these do. */
export function apart({ sigma, alike }: LineSpread): number {
  return sigma * Math.sqrt(alike);
}

/** Draws sharp corners to where their sides meet, in place. */
function layCorners(line: ClosedLine, calm: Smoothed, spread: LineSpread, corners: readonly number[]): void {
  const noise = apart(spread);
  const { back, ahead } = roomToCorners(line, corners);
  for (const corner of corners) {
    // Each way to the next corner: the corner's own room is none.
    const laid = meetAtCorner(line, corner, back[corner], ahead[corner], noise);
    // Along the middle between its sides no smoothing has taken anything off the noise of a corner that stays.
    if (laid.length === 0) calm.sigma[corner] = spread.sigma;
    for (const { index, x, y, sigma } of laid) {
      calm.channels[0][index] = x;
      calm.channels[1][index] = y;
      calm.sigma[index] = sigma;
    }
  }
}

/** Drops points closer to the last kept one than a twentieth of the mean spacing: they carry no shape, only rounding. */
function dropCrowded({ ring, half }: { readonly ring: Points3; readonly half: Float64Array }): {
  ring: Points3;
  half: Float64Array;
} {
  const n = ring.length / 3;
  let length = 0;
  for (let i = 0; i < n; i++) {
    const j = ((i + 1) % n) * 3;
    length += Math.hypot(ring[j] - ring[3 * i], ring[j + 1] - ring[3 * i + 1]);
  }
  const least = length / n / 20;
  const kept: number[] = [];
  const keptHalf: number[] = [];
  let lastX = Infinity;
  let lastY = Infinity;
  for (let i = 0; i < n; i++) {
    const x = ring[3 * i];
    const y = ring[3 * i + 1];
    if (Math.hypot(x - lastX, y - lastY) < least) continue;
    kept.push(x, y, ring[3 * i + 2]);
    keptHalf.push(half[i]);
    lastX = x;
    lastY = y;
  }
  return { ring: Float64Array.from(kept), half: Float64Array.from(keptHalf) };
}

/** Arc length in plan, along the line as it stands: a calmed line would cut corners, and bend what leads up to them. */
function planArc(x: Float64Array, y: Float64Array): { arc: Float64Array; length: number } {
  const n = x.length;
  const arc = new Float64Array(n);
  let length = 0;
  for (let i = 1; i <= n; i++) {
    const j = i % n;
    length += Math.hypot(x[j] - x[i - 1], y[j] - y[i - 1]);
    if (i < n) arc[i] = length;
  }
  return { arc, length };
}
