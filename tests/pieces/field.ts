import { createEdgeDistance, type EdgeDistance } from './edgeDistance.ts';
import type { PlanPolygon } from './outlines.ts';
import { createScars, type ScarField, type ScarSpec } from './scars.ts';

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
  readonly polygon: PlanPolygon;
  margin(x: number, y: number): number;
  /** Fills `out` for a point inside the outline. On the outline a = b = 0. */
  heights(x: number, y: number, out: Heights): void;
}

export function createField(spec: FieldSpec, polygon: PlanPolygon, seed: number): PieceField {
  const margin = levelled(windingSurface(spec, polygon), polygon);
  const distance = createEdgeDistance(polygon);
  const peak = greatestDistance(polygon, distance, 2);
  const faceA = faceProfile(spec.faceA, polygon, distance);
  const faceB = faceProfile(spec.faceB, polygon, distance);
  const scarsA = scarField(spec, polygon, peak, seed ^ 0x2545f491);
  const scarsB = scarField(spec, polygon, peak, seed ^ 0x7f4a7c15);
  const humps = spec.humps ?? [];
  const blunt = spec.blunt ?? 0;
  const sums = { right: 0, left: 0 };
  return {
    polygon,
    margin,
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
      let a = faceA(psi, sums.right, sums.left) - fade * scarsA(x, y);
      let b = faceB(psi, sums.right, sums.left) - fade * scarsB(x, y);
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

/**
 * Takes a plane a + bx + cy off the margin surface so that z and x, z and y are uncorrelated along the 3D margin line and
 * z has mean 0: then z = 0 is that line's total-least-squares plane. Weights are 3D arc length, which the plane changes a
 * little: repeat until nothing is left.
 */
function levelled(
  raw: (x: number, y: number) => number,
  polygon: PlanPolygon,
): (x: number, y: number) => number {
  const plane = [0, 0, 0];
  const surface = (x: number, y: number) => raw(x, y) - plane[0] - plane[1] * x - plane[2] * y;
  for (let round = 0; round < 60; round++) {
    const [a, b, c] = regressionAlong(polygon, surface);
    plane[0] += a;
    plane[1] += b;
    plane[2] += c;
    if (Math.abs(a) + 100 * (Math.abs(b) + Math.abs(c)) < 1e-12) break;
  }
  return surface;
}

function regressionAlong(
  polygon: PlanPolygon,
  z: (x: number, y: number) => number,
): [number, number, number] {
  const p = polygon.points;
  const n = p.length / 2;
  const parts = 4;
  let [w, sx, sy, sz, sxx, sxy, syy, sxz, syz] = [0, 0, 0, 0, 0, 0, 0, 0, 0];
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const dx = (p[2 * j] - p[2 * i]) / parts;
    const dy = (p[2 * j + 1] - p[2 * i + 1]) / parts;
    for (let k = 0; k < parts; k++) {
      const x0 = p[2 * i] + k * dx;
      const y0 = p[2 * i + 1] + k * dy;
      const dz = z(x0 + dx, y0 + dy) - z(x0, y0);
      const ds = Math.sqrt(dx * dx + dy * dy + dz * dz);
      const x = x0 + dx / 2;
      const y = y0 + dy / 2;
      const h = z(x, y);
      w += ds;
      sx += ds * x;
      sy += ds * y;
      sz += ds * h;
      sxx += ds * x * x;
      sxy += ds * x * y;
      syy += ds * y * y;
      sxz += ds * x * h;
      syz += ds * y * h;
    }
  }
  const cxx = sxx - (sx * sx) / w;
  const cxy = sxy - (sx * sy) / w;
  const cyy = syy - (sy * sy) / w;
  const cxz = sxz - (sx * sz) / w;
  const cyz = syz - (sy * sz) / w;
  const det = cxx * cyy - cxy * cxy;
  const b = (cxz * cyy - cyz * cxy) / det;
  const c = (cyz * cxx - cxz * cxy) / det;
  return [(sz - b * sx - c * sy) / w, b, c];
}

/** Greatest mean distance (ψ_R^−p + ψ_L^−p)^(−1/p) inside, p = ridge: a coarse grid, then a pattern search. */
function greatestDistance(polygon: PlanPolygon, distance: EdgeDistance, ridge: number): number {
  const sums = { right: 0, left: 0 };
  const value = (x: number, y: number) => {
    if (!inside(polygon.points, x, y)) return 0;
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

export function bounds(points: Float64Array): { x0: number; x1: number; y0: number; y1: number } {
  let [x0, x1, y0, y1] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < points.length; i += 2) {
    x0 = Math.min(x0, points[i]);
    x1 = Math.max(x1, points[i]);
    y0 = Math.min(y0, points[i + 1]);
    y1 = Math.max(y1, points[i + 1]);
  }
  return { x0, x1, y0, y1 };
}

/** Even–odd test; points on the boundary may fall either way. */
export function inside(points: Float64Array, x: number, y: number): boolean {
  const n = points.length / 2;
  let odd = false;
  for (let i = 0, j = n - 1; i < n; j = i++) {
    const yi = points[2 * i + 1];
    const yj = points[2 * j + 1];
    if (yi > y !== yj > y) {
      const xi = points[2 * i];
      if (x < xi + ((y - yi) / (yj - yi)) * (points[2 * j] - xi)) odd = !odd;
    }
  }
  return odd;
}
