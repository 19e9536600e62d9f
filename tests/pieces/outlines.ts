import type { Points2 } from '../../src/geometry/types.ts';
import { createRandom } from './random.ts';

/** Plan shapes of test pieces. All point up (+y), base near y = 0, before the deformations below. */
export type OutlineShape =
  | 'ovate'
  | 'lanceolate'
  | 'cordate'
  | 'triangular'
  | 'square-base'
  | 'side-notched'
  | 'barbed'
  | 'disc';

export interface OutlineSpec {
  readonly shape: OutlineShape;
  /** Nominal length and width, mm (the true ones follow from the definitions of the frame). */
  readonly length: number;
  readonly width: number;
  /** Midline pushed sideways at mid-length, mm, + right. */
  readonly bow?: number;
  /** Right side widened by this share at mid-length, left side left alone: an asymmetrical piece. */
  readonly bulge?: number;
  /** Wander of the outline in plan, mm of amplitude, different on each side. */
  readonly waviness?: number;
  /** Step between polygon vertices, mm. Default: perimeter / 500. */
  readonly step?: number;
}

/** The plan polygon IS the piece's outline: everything else is built on it, so no chord error arises. */
export interface PlanPolygon {
  /** Counter-clockwise, from the base up the right side to the tip and down the left side. */
  readonly points: Points2;
  /** Index of the tip vertex: right side before, left side from here on. */
  readonly tip: number;
  /** The same outline before notches were cut into it; absent where there are none. */
  readonly uncut?: PlanPolygon;
}

type Pair = readonly [number, number];
/** Smooth pieces from the base's middle to the tip along the right side; their joints are corners. */
type HalfOutline = readonly (readonly Pair[])[];

/** First and last piece of a half outline that a notch made. */
const NOTCHES: Partial<Record<OutlineShape, readonly [number, number]>> = {
  'side-notched': [2, 2],
  barbed: [1, 2],
};

const FINE = 600;

export function planPolygon(spec: OutlineSpec, seed: number): PlanPolygon {
  const half = halfOutline(spec);
  const random = createRandom(seed ^ 0x5bd1e995);
  const wave = () => ({ k: random.between(2, 5), phase: random.between(0, 6.28) });
  const waves = [
    [wave(), wave()],
    [wave(), wave()],
  ];
  const deform = ([x, y]: Pair, side: 1 | -1): Pair => {
    const t = y / spec.length;
    const swell = Math.sin(Math.PI * Math.min(1, Math.max(0, t)));
    const wander = waves[side > 0 ? 0 : 1].reduce(
      (sum, w) => sum + Math.sin(2 * Math.PI * w.k * t + w.phase),
      0,
    );
    const out =
      x * (1 + (side > 0 ? (spec.bulge ?? 0) * swell : 0)) + ((spec.waviness ?? 0) / 2) * wander * swell;
    return [side * out + (spec.bow ?? 0) * swell, y];
  };
  const polygon = closedPolygon(half, deform, spec.step);
  const notch = NOTCHES[spec.shape];
  return notch ? { ...polygon, uncut: closedPolygon(bridged(half, notch), deform, spec.step) } : polygon;
}

/** The pieces with those of the notch replaced by a straight line. */
function bridged(pieces: HalfOutline, [first, last]: readonly [number, number]): HalfOutline {
  return [...pieces.slice(0, first), line(pieces[first][0], pieces[last].at(-1)!), ...pieces.slice(last + 1)];
}

function closedPolygon(
  half: HalfOutline,
  deform: (p: Pair, side: 1 | -1) => Pair,
  wanted: number | undefined,
): PlanPolygon {
  const right = half.map((piece) => piece.map((p) => deform(p, 1)));
  const left = half.map((piece) => piece.map((p) => deform(p, -1)));
  const step = wanted ?? (arcLength(right) + arcLength(left)) / 500;
  const up = right.flatMap((piece) => resample(piece, step));
  const down = left.flatMap((piece) => resample(piece, step));
  // Each piece gave all points but its last: add the tip once and skip the base's middle on the way back.
  const tip = right.at(-1)!.at(-1)!;
  const ring = [...up, tip, ...down.slice(1).reverse()];
  return { points: new Float64Array(ring.flat()), tip: up.length };
}

function halfOutline(spec: OutlineSpec): HalfOutline {
  const { length: L, width: W } = spec;
  const w = W / 2;
  switch (spec.shape) {
    case 'disc':
    case 'ovate': {
      // An egg: widest below the middle. The disc has no tip and no base.
      const egg = spec.shape === 'disc' ? 0 : 0.22;
      return [
        curve((t) => {
          const angle = Math.PI * (t - 0.5);
          return [w * Math.cos(angle) * (1 - egg * Math.sin(angle)), (L / 2) * (1 + Math.sin(angle))];
        }),
      ];
    }
    case 'lanceolate':
      return [tear(L, w, 0.5, 0.95)];
    case 'cordate':
      return [tear(L, w, 0.36, 0.72)];
    case 'triangular':
      return [
        line([0, 0], [w * 0.96, L * 0.03]),
        curve((t) => [w * (0.96 * (1 - t) + 0.35 * t * (1 - t)), L * (0.03 + 0.97 * t)]),
      ];
    case 'square-base':
      return [line([0, 0], [w * 0.72, 0]), curve((t) => [w * (0.72 + 0.95 * t) * (1 - t ** 1.6), L * t])];
    case 'side-notched': {
      const depth = w * 0.34;
      const top = L * 0.3;
      const bottom = L * 0.12;
      const middle = (top + bottom) / 2;
      return [
        line([0, L * 0.02], [w * 0.95, 0]),
        line([w * 0.95, 0], [w * 0.97, bottom]),
        curve((t) => [
          w * (0.97 + 0.03 * t) - depth * Math.sin(Math.PI * t) ** 0.8,
          middle - ((top - bottom) / 2) * Math.cos(Math.PI * t),
        ]),
        curve((t) => [w * (1 - t) * (1 + 0.45 * t), top + (L - top) * t]),
      ];
    }
    case 'barbed': {
      // A stem, a notch cut upward into the shoulder, and a barb that hangs below the notch's end.
      const stem = w * 0.3;
      const barb = L * 0.14;
      return [
        line([0, 0], [stem * 0.9, 0]),
        line([stem * 0.9, 0], [stem, L * 0.2]),
        curve((t) => [
          stem + (w - stem) * (0.15 + 0.85 * t) * Math.sin((Math.PI / 2) * t) ** 0.5,
          L * 0.2 + L * 0.08 * Math.sin(Math.PI * t * 0.9) - (L * 0.2 - barb) * t ** 2 - L * 0.0247 * t ** 2,
        ]),
        curve((t) => {
          const y0 = barb - L * 0.0247 + L * 0.08 * Math.sin(Math.PI * 0.9);
          return [w * (1 - t) * (1 + 0.3 * t), y0 + (L - y0) * t];
        }),
      ];
    }
  }
}

/** Half-width tᵖ(1−t)^q scaled to w: round base for p = ½, pointed tip for q near 1. */
function tear(length: number, w: number, p: number, q: number): Pair[] {
  const peak = p / (p + q);
  const scale = w / (peak ** p * (1 - peak) ** q);
  // t = s²(3 − 2s) crowds samples where the width rises like a root.
  return curve((s) => {
    const t = s * s * (3 - 2 * s);
    return [scale * t ** p * (1 - t) ** q, length * t];
  });
}

function curve(at: (t: number) => Pair): Pair[] {
  return Array.from({ length: FINE + 1 }, (_, i) => at(i / FINE));
}

function line(from: Pair, to: Pair): Pair[] {
  return curve((t) => [from[0] + (to[0] - from[0]) * t, from[1] + (to[1] - from[1]) * t]);
}

function arcLength(pieces: readonly (readonly Pair[])[]): number {
  let sum = 0;
  for (const piece of pieces) {
    for (let i = 1; i < piece.length; i++) {
      sum += Math.hypot(piece[i][0] - piece[i - 1][0], piece[i][1] - piece[i - 1][1]);
    }
  }
  return sum;
}

/** Points at equal steps along a polyline, first included, last left out. */
function resample(piece: readonly Pair[], step: number): Pair[] {
  const total = arcLength([piece]);
  const count = Math.max(2, Math.round(total / step));
  const out: Pair[] = [];
  let walked = 0;
  let i = 1;
  for (let k = 0; k < count; k++) {
    const target = (total * k) / count;
    for (;;) {
      const length = Math.hypot(piece[i][0] - piece[i - 1][0], piece[i][1] - piece[i - 1][1]);
      if (walked + length >= target || i === piece.length - 1) {
        const f = length > 0 ? (target - walked) / length : 0;
        out.push([
          piece[i - 1][0] + f * (piece[i][0] - piece[i - 1][0]),
          piece[i - 1][1] + f * (piece[i][1] - piece[i - 1][1]),
        ]);
        break;
      }
      walked += length;
      i++;
    }
  }
  return out;
}
