import type { Points2 } from './types.ts';

/** A corner lies no farther beyond the chord that cuts it off than this many chords: 29° is the sharpest that is thought of. */
const FARTHEST = 2;
/** Of where the chords to either side meet, an arc reaches this share: its root mean square, however its points lie. */
const ARC_SHARE = 1 / 6;

/**
 * How far a closed line that is known at points only may reach beyond one of them, an extreme one, in the direction
 * (dx, dy) of unit length.
 *
 * To one side of the point the line is thought to go straight on from before it, and from behind the next point, until both
 * ways meet. A corner that fell between the two reached as far as that; where the corner is itself one of the points, the
 * ways meet in it and nothing was cut off. An arc bends on as evenly before and behind, and reaches a small share.
 */
export function cutBeyond(ring: Points2, at: number, dx: number, dy: number): number {
  if (ring.length < 14) return 0;
  return Math.max(beyond(ring, at, 1, dx, dy), beyond(ring, at, -1, dx, dy));
}

/** Between the point and the next one in the sense `way`. */
function beyond(ring: Points2, at: number, way: 1 | -1, dx: number, dy: number): number {
  const n = ring.length / 2;
  const step = (k: number): readonly [number, number] => {
    const a = 2 * ((at + way * k + 2 * n) % n);
    const b = 2 * ((at + way * (k + 1) + 2 * n) % n);
    return [ring[b] - ring[a], ring[b + 1] - ring[a + 1]];
  };
  const [first, before, chord, after, last] = [-2, -1, 0, 1, 2].map(step);
  const most = FARTHEST * Math.hypot(...chord);
  const area = cross(before, after);
  // point + s · before = next − t · after
  const s = cross(chord, after) / area;
  const t = cross(before, chord) / area;
  if (!(s > 0 && t > 0 && s * Math.hypot(...before) <= most && t * Math.hypot(...after) <= most)) return 0;
  const here = Math.abs(turn(before, chord) + turn(chord, after));
  const around = Math.abs(turn(first, before) + turn(after, last));
  const corner = Math.max(0, 1 - around / here);
  return Math.max(0, s * (before[0] * dx + before[1] * dy)) * (corner + (1 - corner) * ARC_SHARE);
}

function cross(a: readonly [number, number], b: readonly [number, number]): number {
  return a[0] * b[1] - a[1] * b[0];
}

/** Angle from one direction to another, radians. */
function turn(a: readonly [number, number], b: readonly [number, number]): number {
  return Math.atan2(cross(a, b), a[0] * b[0] + a[1] * b[1]);
}
