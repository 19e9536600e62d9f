import { createEdgeDistance, type EdgeDistance } from './edgeDistance.ts';
import { levelled } from './levelled.ts';
import type { PlanPolygon } from './outlines.ts';
import { bounds, createInside } from './polygonInside.ts';
import { createScars, type ScarField, type ScarSpec } from './scars.ts';
import { breakDistance, type PlanDomain } from './snap.ts';

/** One face over the margin surface. */
export interface FaceSpec {
  /** Greatest height over the margin surface without humps and scars, mm. */
  readonly height: number;
  /** Angle in degrees between this face and the margin plane at the very edge. */
  readonly angle: number;
  /** 2 (default) is a lens; 12 and more raises a median ridge with straight flanks. */
  readonly ridge?: number;
}

/** A smooth bump of compact support: prominence · (1 − ρ²)³, ρ the distance from the centre over the radius. */
export interface HumpSpec {
  readonly face: 'A' | 'B';
  /** Centre in the design frame, mm. */
  readonly x: number;
  readonly y: number;
  readonly prominence: number;
  readonly radius: number;
  /** Radius along y over radius along x. Default 1. */
  readonly stretch?: number;
  /** Flat-topped with steep sides, as left by step fractures. */
  readonly stepped?: boolean;
}

/** One sine of the margin's winding; z = amplitude · sin(2π·y/wavelength + phase). */
export interface Wave {
  readonly amplitude: number;
  readonly wavelength: number;
  readonly phase?: number;
}

export interface FieldSpec {
  readonly faceA: FaceSpec;
  readonly faceB: FaceSpec;
  readonly winding?: { readonly left?: readonly Wave[]; readonly right?: readonly Wave[] };
  readonly humps?: readonly HumpSpec[];
  readonly scars?: ScarSpec;
  /** Radius of a worn, rounded edge, mm. Default 0: sharp. */
  readonly blunt?: number;
}

/** The heights of a piece at one plan point, mm. Face A stands at margin + a, face B at margin − b. */
export interface Heights {
  margin: number;
  a: number;
  b: number;
  /** Smooth distance to the outline. */
  psi: number;
}

/**
 * The exact piece: analytic functions of the design frame's plan (x right, y toward the tip). The margin surface is linear
 * in x at each y, hence straight between the left and right edge whatever the outline; z = 0 is the total-least-squares
 * plane of the margin line by construction.
 */
export interface PieceField {
  /** What is left of the plan: the whole outline, or the part on one side of a break. */
  readonly domain: PlanDomain;
  margin(x: number, y: number): number;
  /** Smooth distance to the unbroken outline from a point inside. */
  psi(x: number, y: number): number;
  /** Distance to the break, mm; Infinity on a whole piece. */
  breakDistance(x: number, y: number): number;
  /** Fills `out` for a point inside the unbroken outline. On that outline a = b = 0. */
  heights(x: number, y: number, out: Heights): void;
}

export function createField(
  spec: FieldSpec,
  polygon: PlanPolygon,
  seed: number,
  domain: PlanDomain = { points: polygon.points },
): PieceField {
  const margin = levelled(windingSurface(spec, polygon), domain.points);
  const distance = createEdgeDistance(polygon);
  // The faces are those of the piece before it was notched; notches are cut into them.
  const whole = polygon.uncut ?? polygon;
  const wholeDistance = polygon.uncut ? createEdgeDistance(whole) : distance;
  const peak = greatestDistance(whole, wholeDistance, 2);
  const faceA = faceProfile(spec.faceA, whole, wholeDistance);
  const faceB = faceProfile(spec.faceB, whole, wholeDistance);
  const scarsA = scarField(spec, polygon, peak, seed ^ 0x2545f491);
  const scarsB = scarField(spec, polygon, peak, seed ^ 0x7f4a7c15);
  const humps = spec.humps ?? [];
  const blunt = spec.blunt ?? 0;
  const sums = { right: 0, left: 0 };
  const wholeSums = polygon.uncut ? { right: 0, left: 0 } : sums;
  return {
    domain,
    margin,
    psi(x, y) {
      distance.sums(x, y, sums);
      return 1 / Math.sqrt(sums.right + sums.left);
    },
    breakDistance: (x, y) => breakDistance(domain, x, y),
    heights(x, y, out) {
      distance.sums(x, y, sums);
      const psi = 1 / Math.sqrt(sums.right + sums.left);
      out.margin = margin(x, y);
      out.psi = psi;
      if (!(psi > 0)) {
        out.psi = out.a = out.b = 0;
        return;
      }
      // Scars fade out toward the margin, so that the margin line stays what it was.
      const fade = (psi * psi) / (psi * psi + 4);
      if (polygon.uncut) wholeDistance.sums(x, y, wholeSums);
      const { right, left } = wholeSums;
      const wholePsi = 1 / Math.sqrt(right + left);
      let a = faceA(wholePsi, right, left);
      let b = faceB(wholePsi, right, left);
      if (polygon.uncut) {
        a = notched(a, psi);
        b = notched(b, psi);
      }
      a -= fade * scarsA(x, y);
      b -= fade * scarsB(x, y);
      for (const hump of humps) {
        const rise = humpRise(hump, x, y);
        if (hump.face === 'A') a += rise;
        else b += rise;
      }
      out.a = rounded(a, psi, blunt);
      out.b = rounded(b, psi, blunt);
    },
  };
}

/** The face beside a notch: its edge rises at about 65° until it meets the face; a gentler edge elsewhere is left alone. */
function notched(height: number, psi: number): number {
  const edge = 2.15 * psi;
  return (height ** -4 + edge ** -4) ** -0.25;
}

/** √(f² + 2rψ) near the edge turns the sharp edge into a round one that stands upright at the margin. */
function rounded(height: number, psi: number, radius: number): number {
  if (radius === 0) return height;
  return Math.sqrt(height * height + 2 * radius * psi * Math.exp(-psi / (2 * radius)));
}

export function humpRise(hump: HumpSpec, x: number, y: number): number {
  const dx = (x - hump.x) / hump.radius;
  const dy = (y - hump.y) / (hump.radius * (hump.stretch ?? 1));
  const rho2 = dx * dx + dy * dy;
  if (rho2 >= 1) return 0;
  const fall = 1 - rho2;
  if (!hump.stepped) return hump.prominence * fall * fall * fall;
  // 1 − (1 − fall²)² … is flat on top and falls off near the rim; the cube keeps the foot smooth.
  const top = 1 - (1 - fall) ** 3;
  return hump.prominence * top * top * top;
}

/** Height as a function of ψ: from 0 with the asked slope to the full height at the greatest ψ. */
function faceProfile(
  face: FaceSpec,
  polygon: PlanPolygon,
  distance: EdgeDistance,
): (psi: number, right: number, left: number) => number {
  const ridge = face.ridge ?? 2;
  const half = ridge / 2;
  const peak = greatestDistance(polygon, distance, ridge);
  const slope = (Math.tan((face.angle * Math.PI) / 180) * peak) / face.height;
  return (psi, right, left) => {
    const d = half === 1 ? psi : (right ** half + left ** half) ** (-0.5 / half);
    const q = d / peak;
    // Up to twice the mean slope a parabola does; beyond it the face levels off early, toward parallel faces.
    if (slope < 2) return face.height * (slope * q + (1 - slope) * q * q);
    return face.height * (1 - Math.max(0, 1 - q) ** slope);
  };
}

function scarField(spec: FieldSpec, polygon: PlanPolygon, peak: number, seed: number): ScarField {
  // ψ's greatest value is about 0.7 of the half-width; scars reach to the midline or past it.
  return spec.scars ? createScars(spec.scars, polygon, peak * 1.5, seed) : () => 0;
}

function windingSurface(spec: FieldSpec, polygon: PlanPolygon): (x: number, y: number) => number {
  const sum = (waves: readonly Wave[], y: number) =>
    waves.reduce((z, w) => z + w.amplitude * Math.sin((2 * Math.PI * y) / w.wavelength + (w.phase ?? 0)), 0);
  const left = spec.winding?.left ?? [];
  const right = spec.winding?.right ?? [];
  let half = 0;
  for (let i = 0; i < polygon.points.length; i += 2) half = Math.max(half, Math.abs(polygon.points[i]));
  return (x, y) => {
    const zl = sum(left, y);
    const zr = sum(right, y);
    return (zl + zr) / 2 + ((zr - zl) / (2 * half)) * x;
  };
}

/** Greatest mean distance (ψ_R^−p + ψ_L^−p)^(−1/p) inside, p = ridge: a coarse grid, then a pattern search. */
function greatestDistance(polygon: PlanPolygon, distance: EdgeDistance, ridge: number): number {
  const sums = { right: 0, left: 0 };
  const inside = createInside(polygon.points);
  const value = (x: number, y: number) => {
    if (!inside(x, y)) return 0;
    distance.sums(x, y, sums);
    return (sums.right ** (ridge / 2) + sums.left ** (ridge / 2)) ** (-1 / ridge);
  };
  const box = bounds(polygon.points);
  const grid: { x: number; y: number }[] = [];
  for (let i = 1; i < 24; i++) {
    for (let j = 1; j < 48; j++) {
      grid.push({ x: box.x0 + ((box.x1 - box.x0) * i) / 24, y: box.y0 + ((box.y1 - box.y0) * j) / 48 });
    }
  }
  return climb(value, grid, (box.y1 - box.y0) / 48, 1e-6).value;
}

/** Pattern search for a greatest value: the best of some starting points, then steps halved until below `finest`. */
export function climb(
  value: (x: number, y: number) => number,
  starts: readonly { readonly x: number; readonly y: number }[],
  step: number,
  finest: number,
): { x: number; y: number; value: number } {
  let best = { x: 0, y: 0, value: -Infinity };
  for (const { x, y } of starts) {
    const v = value(x, y);
    if (v > best.value) best = { x, y, value: v };
  }
  for (let reach = step; reach > finest; ) {
    let moved = false;
    for (let k = 0; k < 8; k++) {
      const x = best.x + reach * Math.cos((k * Math.PI) / 4);
      const y = best.y + reach * Math.sin((k * Math.PI) / 4);
      const v = value(x, y);
      if (v > best.value) {
        best = { x, y, value: v };
        moved = true;
        break;
      }
    }
    if (!moved) reach /= 2;
  }
  return best;
}
