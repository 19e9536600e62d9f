import type { Removal } from './removal.ts';

/**
 * The surface that one flake leaves, as a height over plan in the face-up sense of the face it was struck from:
 * a trough that starts at the platform, hollows below the bulb, follows the face inward and runs out, rolls up or breaks.
 * Lengths in mm. u runs from the platform along the blow, v to its left.
 */
export interface Scar {
  /** Platform, and the unit direction of the blow in plan. */
  readonly x: number;
  readonly y: number;
  readonly dx: number;
  readonly dy: number;
  /** Height along the axis: z0 + z1·u + z2·u². */
  readonly z0: number;
  readonly z1: number;
  readonly z2: number;
  /** Slope across, at the platform and its change per mm along. */
  readonly tilt: number;
  readonly twist: number;
  /** Sideways drift of the axis: v is measured from bend·u². */
  readonly bend: number;
  /** Curvature across (1/mm), and how many times tighter it is at the platform. */
  readonly hollow: number;
  readonly flare: number;
  /** Half-width beyond which the flanks steepen. */
  readonly halfWidth: number;
  readonly length: number;
  /** How far outward of the platform the blow clears the old edge away. */
  readonly behind: number;
  readonly termination: 'feather' | 'hinge' | 'step';
  /** Depth of the hollow below the bulb, mm, and its size along the blow. */
  readonly bulb: number;
  readonly bulbSize: number;
  /** Ripples about the point of percussion: height and spacing, mm. */
  readonly ripple: number;
  readonly rippleStep: number;
}

const HINGE_RADIUS = 2.6;
/** Rise of a step fracture, mm per mm. */
const STEP_SLOPE = 1.5;

/** A scar ends for good at this share of its length and of its half-width, and this far behind its cleared ground. */
const FAR = 1.6;
const WIDE = 2.3;
const BACK = 8;
/** Outward of the platform the blow takes the edge with it: the fracture drops this much steeper there. */
const BREAKOUT = 1.5;

export function flakeRemoval(scar: Scar): Removal {
  const radius = scar.behind + BACK + 2 * scar.length + 3 * scar.halfWidth;
  const drift = Math.abs(scar.bend) * (FAR * scar.length) ** 2;
  return {
    box: { x0: scar.x - radius, y0: scar.y - radius, x1: scar.x + radius, y1: scar.y + radius },
    near(x, y, margin) {
      const u = (x - scar.x) * scar.dx + (y - scar.y) * scar.dy;
      const v = (y - scar.y) * scar.dx - (x - scar.x) * scar.dy;
      return (
        u > -scar.behind - BACK - margin &&
        u < FAR * scar.length + margin &&
        Math.abs(v) < WIDE * scar.halfWidth + drift + margin
      );
    },
    height: (x, y, ceiling, parts) => scarHeight(scar, x, y, ceiling, parts),
  };
}

/**
 * Height of the scar at a plan point, or Infinity outside its reach or surely above `ceiling`. `parts` tells whether the
 * floor or a step's wall is met there: a step has a sharp foot.
 */
export function scarHeight(
  scar: Scar,
  x: number,
  y: number,
  ceiling: number,
  parts: { wall: boolean },
): number {
  parts.wall = false;
  const rx = x - scar.x;
  const ry = y - scar.y;
  const u = rx * scar.dx + ry * scar.dy;
  const inward = Math.max(0, u);
  const v = ry * scar.dx - rx * scar.dy - scar.bend * inward * inward;
  const aside = Math.abs(v);
  if (u <= -scar.behind - BACK || u >= FAR * scar.length || aside >= WIDE * scar.halfWidth) return Infinity;
  const near = inward / (0.22 * scar.length);
  const curvature = scar.hollow * (1 + scar.flare / (1 + near * near));
  let z = scar.z0 + scar.z1 * u + (scar.tilt + scar.twist * inward) * v + 0.5 * curvature * v * v;
  z += u > 0 ? scar.z2 * u * u : BREAKOUT * u;
  if (z > ceiling + scar.bulb + 1.6 * scar.ripple) return Infinity;
  z += barrier(aside - 1.25 * scar.halfWidth, (WIDE - 1.25) * scar.halfWidth);
  z += barrier(-u - scar.behind, BACK);
  z -= scar.bulb * bulbShare(u / scar.bulbSize, v / (1.4 * scar.bulbSize));
  const r = Math.hypot(u + scar.bulbSize, 0.85 * v);
  z += scar.ripple * rippleAt(r / scar.length, r / scar.rippleStep);
  return terminated(scar, z, u, v, parts);
}

/** Nothing up to 0, then rising ever faster to infinity at `width`: a scar must not end in a cliff. */
function barrier(past: number, width: number): number {
  if (past <= 0) return 0;
  return past >= width ? Infinity : (past * past) / (width - past);
}

/** The hollow below the bulb: steep from the platform, drawn out inward; 1 at its deepest, 0 with zero slope at its rim. */
function bulbShare(along: number, across: number): number {
  const a = along < 0.6 ? (0.6 - along) / 0.6 : (along - 0.6) / 1.9;
  const fall = 1 - a * a - across * across;
  return fall <= 0 ? 0 : fall * fall;
}

/** Ripples grow outward and crowd toward the end. */
function rippleAt(share: number, turns: number): number {
  const crowded = turns * (1 + 0.25 * share);
  return Math.min(1.5, 0.15 + share * share) * Math.sin(2 * Math.PI * crowded);
}

function terminated(scar: Scar, z: number, u: number, v: number, parts: { wall: boolean }): number {
  // The end of a flake is rounded in plan: its flanks stop short of its axis.
  const end = scar.length - (0.35 * v * v) / scar.halfWidth;
  const past = u - end;
  if (scar.termination === 'step') {
    if (past <= 0) return z;
    parts.wall = true;
    return z + STEP_SLOPE * past + barrier(u - scar.length, (FAR - 1) * scar.length);
  }
  if (scar.termination === 'hinge') {
    const roll = past + HINGE_RADIUS;
    return roll <= 0
      ? z
      : z + (roll * roll) / (2 * HINGE_RADIUS) + barrier(u - scar.length, (FAR - 1) * scar.length);
  }
  return past <= 0
    ? z
    : z + (2 * past * past) / scar.length + barrier(u - scar.length, (FAR - 1) * scar.length);
}
