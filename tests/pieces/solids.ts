import type { Points2, TriangleMesh } from '../../src/geometry/types.ts';
import { spacings } from './meshField.ts';
import { meshSheets, type SheetSpec } from './meshSheets.ts';
import { refineRing } from './planMesh.ts';
import { createRandom } from './random.ts';

/**
 * Solids whose every number has a closed form. Design frame: plan in x, y with +y along the length, margin at z = 0.
 * Each docstring gives the truth. Angles in degrees, lengths in mm; `triangles` is about how many the two
 * faces get; walls come on top.
 */
interface Meshed {
  readonly triangles: number;
  readonly seed?: number;
}

/**
 * A bar of rhombic section, both long edges with the edge angle θ, ends cut square.
 * Length L, width W, thickness W·tan(θ/2), volume L·W²·tan(θ/2)/2, section area W²·tan(θ/2)/2, plan area L·W.
 */
export function wedgeBar(spec: { length: number; width: number; angle: number } & Meshed): TriangleMesh {
  const slope = Math.tan((spec.angle * Math.PI) / 360);
  const half = spec.width / 2;
  return upright(rectangle(spec.width, spec.length), (x) => slope * Math.max(0, half - Math.abs(x)), spec);
}

/**
 * Two hipped roofs back to back over a rectangle L × W: all four edges have the edge angle θ.
 * Thickness W·tan(θ/2), volume W²·tan(θ/2)·(3L − W)/6, section area at y (from W/2 to L − W/2) W²·tan(θ/2)/2.
 */
export function hippedBar(spec: { length: number; width: number; angle: number } & Meshed): TriangleMesh {
  const slope = Math.tan((spec.angle * Math.PI) / 360);
  const half = spec.width / 2;
  const top = (x: number, y: number) => slope * Math.max(0, Math.min(half - Math.abs(x), y, spec.length - y));
  return upright(rectangle(spec.width, spec.length), top, spec);
}

/**
 * A bar whose section is a lens of two equal circular arcs of chord W and sagitta h, ends cut square.
 * Radius R = (W²/4 + h²)/(2h); edge angle 4·atan(2h/W); section area R²(φ − sin φ), φ = 4·atan(2h/W); thickness 2h.
 */
export function lensBar(spec: { length: number; width: number; sagitta: number } & Meshed): TriangleMesh {
  const { sagitta: h, width: W } = spec;
  const radius = (W * W) / (8 * h) + h / 2;
  return upright(
    rectangle(W, spec.length),
    (x) => Math.max(0, Math.sqrt(radius * radius - x * x) - radius + h),
    spec,
  );
}

/**
 * A round lens: two spherical caps on a disc of diameter W with sagitta h.
 * Volume π·h·(3W²/4 + h²)/3; edge angle 4·atan(2h/W) all round; plan area π·W²/4; thickness 2h.
 */
export function lensDisc(spec: { diameter: number; sagitta: number } & Meshed): TriangleMesh {
  const { sagitta: h, diameter: W } = spec;
  const radius = (W * W) / (8 * h) + h / 2;
  return upright(
    ellipseRing(W / 2, W / 2, 1440),
    (x, y) => Math.max(0, Math.sqrt(radius * radius - x * x - (y - W / 2) ** 2) - radius + h),
    spec,
  );
}

/** A box: length L, width W, thickness T; volume L·W·T, surface 2(LW + LT + WT). The margin is its four walls. */
export function tablet(spec: { length: number; width: number; thickness: number } & Meshed): TriangleMesh {
  return upright(rectangle(spec.width, spec.length), () => spec.thickness / 2, spec);
}

/** A prism over any simple counter-clockwise polygon, thickness T: volume = polygon area · T. */
export function prism(spec: { polygon: Points2; thickness: number } & Meshed): TriangleMesh {
  return upright(spec.polygon, () => spec.thickness / 2, spec);
}

/**
 * An ellipsoid of semi-axes a (x), b (y), c (z), its base at y = 0. Margin: the ellipse z = 0.
 * Volume 4π·abc/3; plan area π·ab; thickness 2c; section area at y from the middle: π·a·c·(1 − y²/b²).
 */
export function ellipsoid(spec: { a: number; b: number; c: number; triangles: number }): TriangleMesh {
  const { positions, triangles } = sphere(spec.triangles);
  for (let v = 0; v < positions.length; v += 3) {
    positions[v] *= spec.a;
    positions[v + 1] = spec.b * (1 + positions[v + 1]);
    positions[v + 2] *= spec.c;
  }
  return { positions, triangles };
}

/**
 * A flat ring: a lens of chord W = R − r and sagitta h turned about z through the ring's middle (0, R), a drilled disc.
 * Plan area π(R² − r²); volume 2π·((R + r)/2)·A, A the lens's area ρ²(φ − sin φ), ρ = (W²/4 + h²)/(2h), φ = 4·atan(2h/W).
 */
export function ring(spec: {
  outer: number;
  inner: number;
  sagitta: number;
  triangles: number;
}): TriangleMesh {
  const { outer: R, inner: r, sagitta: h } = spec;
  const W = R - r;
  const radius = (W * W) / (8 * h) + h / 2;
  const middle = (R + r) / 2;
  const around = Math.max(24, Math.round(Math.sqrt((spec.triangles * Math.PI * middle) / (2 * W))));
  const across = Math.max(4, 2 * Math.round(spec.triangles / around / 4));
  const positions = new Float64Array(3 * around * across);
  const triangles = new Uint32Array(6 * around * across);
  for (let i = 0; i < around; i++) {
    for (let k = 0; k < across; k++) {
      // From the outer edge over the top to the inner edge and back below.
      const t = (2 * k) / across;
      const d = (t <= 1 ? 1 - 2 * t : 2 * t - 3) * (W / 2);
      const z = Math.max(0, Math.sqrt(radius * radius - d * d) - radius + h) * (t <= 1 ? 1 : -1);
      const angle = (2 * Math.PI * i) / around;
      positions.set(
        [(middle + d) * Math.cos(angle), R + (middle + d) * Math.sin(angle), z],
        3 * (i * across + k),
      );
      const at = (a: number, b: number) => ((i + a) % around) * across + ((k + b) % across);
      triangles.set([at(0, 0), at(1, 0), at(1, 1), at(0, 0), at(1, 1), at(0, 1)], 6 * (i * across + k));
    }
  }
  return { positions, triangles };
}

/** A solid with mirror-equal faces z = ±top over a plan; a wall stands wherever top > 0 on the ring. */
function upright(plan: Points2, top: (x: number, y: number) => number, spec: Meshed): TriangleMesh {
  const { spacing, near } = spacings(plan, spec.triangles / 2);
  const sheet: SheetSpec = {
    ring: refineRing(plan, 0.9 * near),
    clearance: (x, y) => ringDistance(plan, x, y),
    top,
    bottom: (x, y) => -top(x, y),
    // Rounding leaves the arcs a hair above zero at their ends.
    margin: (x, y) => (top(x, y) < 1e-9 ? 0 : undefined),
    spacing,
    near,
  };
  return meshSheets(sheet, createRandom(spec.seed ?? 1));
}

function rectangle(width: number, length: number): Points2 {
  const w = width / 2;
  return Float64Array.from([-w, 0, w, 0, w, length, -w, length]);
}

/** An ellipse of `count` vertices that stands on y = 0, scaled so that the polygon has the ellipse's area. */
function ellipseRing(a: number, b: number, count: number): Points2 {
  const step = (2 * Math.PI) / count;
  const grow = Math.sqrt(step / Math.sin(step));
  const out = new Float64Array(2 * count);
  for (let i = 0; i < count; i++) {
    out[2 * i] = a * grow * Math.sin(i * step);
    out[2 * i + 1] = b - b * grow * Math.cos(i * step);
  }
  return out;
}

function ringDistance(p: Points2, x: number, y: number): number {
  const n = p.length / 2;
  let best = Number.POSITIVE_INFINITY;
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const [ux, uy] = [p[2 * j] - p[2 * i], p[2 * j + 1] - p[2 * i + 1]];
    const [wx, wy] = [x - p[2 * i], y - p[2 * i + 1]];
    const t = Math.min(1, Math.max(0, (wx * ux + wy * uy) / (ux * ux + uy * uy)));
    const [dx, dy] = [wx - t * ux, wy - t * uy];
    best = Math.min(best, dx * dx + dy * dy);
  }
  return Math.sqrt(best);
}

/** Unit sphere: an octahedron whose faces are cut into n² triangles; its equator z = 0 is a line of mesh edges. */
function sphere(triangles: number): { positions: Float64Array; triangles: Uint32Array } {
  const n = Math.max(2, Math.round(Math.sqrt(triangles / 8)));
  const ids = new Map<string, number>();
  const positions: number[] = [];
  const out: number[] = [];
  const vertex = (x: number, y: number, z: number) => {
    // Lattice points of the octahedron |x| + |y| + |z| = n are whole numbers: they name themselves.
    const key = `${x},${y},${z}`;
    let id = ids.get(key);
    if (id === undefined) {
      id = positions.length / 3;
      ids.set(key, id);
      const r = Math.hypot(x, y, z);
      positions.push(x / r, y / r, z / r);
    }
    return id;
  };
  for (const sx of [1, -1]) {
    for (const sy of [1, -1]) {
      for (const sz of [1, -1]) {
        const add = (a: number[], b: number[], c: number[]) => {
          const [p, q, r] = [a, b, c].map(([i, j, k]) => vertex(sx * i + 0, sy * j + 0, sz * k + 0));
          if (sx * sy * sz > 0) out.push(p, q, r);
          else out.push(p, r, q);
        };
        for (let i = 0; i < n; i++) {
          for (let j = 0; i + j < n; j++) {
            const k = n - i - j;
            add([i, j, k], [i + 1, j, k - 1], [i, j + 1, k - 1]);
            if (k > 1) add([i + 1, j, k - 1], [i + 1, j + 1, k - 2], [i, j + 1, k - 1]);
          }
        }
      }
    }
  }
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(out) };
}
