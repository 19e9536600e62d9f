import { closedCurve } from '../../src/geometry/closedCurve.ts';
import { NO_TWIN, type Points3, type TriangleMesh, type Twins } from '../../src/geometry/types.ts';
import { type MarginLine, type Midline, type Model, SIDES } from '../../src/trace/types.ts';
import type { Random } from '../pieces/random.ts';

/**
 * Bars with a known edge, in the specimen frame (mm), built without any tracing: the margin is the true one.
 * Their sections stand square to y; the two ends are flat.
 */
export interface BarOptions {
  /** Extent along y. */
  readonly length: number;
  /** Aimed length of triangle edges. */
  readonly edge: number;
  /**
   * Section at y: closed polyline of x z pairs, as fine as the shape needs, from the right margin over Face A to the
   * left margin and back over Face B.
   */
  readonly section: (y: number) => readonly (readonly [number, number])[];
  /** Right and left margin at y, [x, z]; default ±(first point of the section). */
  readonly margin?: (y: number) => {
    readonly right: readonly [number, number];
    readonly left: readonly [number, number];
  };
  /** Shifts each row of vertices by a random part of a triangle, so that none lies on the edge by design. */
  readonly jitter?: Random;
  /** Standard deviation of noise in x and z, drawn from `random`. */
  readonly noise?: { readonly sd: number; readonly random: Random };
}

export function barModel(options: BarOptions): Model {
  const mesh = barMesh(options);
  const marginPoints = barMargin(options);
  const { length } = options;
  return modelOf(mesh, marginPoints, length, {
    meanEdge: options.edge,
    noise: options.noise?.sd ?? 0,
  });
}

export function barMesh(options: BarOptions): TriangleMesh {
  const { length, edge, section, jitter, noise } = options;
  const rows = Math.max(2, Math.round(length / (edge * 0.9)) + 1);
  const girth = perimeter(section(length / 2));
  const columns = Math.max(8, 2 * Math.round(girth / edge / 2));
  const positions = new Float64Array(3 * (rows * columns + 2));
  for (let j = 0; j < rows; j++) {
    const y = (length * j) / (rows - 1);
    const ring = resampleRing(section(y), columns, jitter ? jitter.next() : 0);
    for (let i = 0; i < columns; i++) {
      const at = 3 * (j * columns + i);
      positions[at] = ring[2 * i] + (noise ? noise.sd * noise.random.normal() : 0);
      positions[at + 1] = y;
      positions[at + 2] = ring[2 * i + 1] + (noise ? noise.sd * noise.random.normal() : 0);
    }
  }
  const base = rows * columns;
  positions[3 * base + 4] = length;
  const triangles: number[] = [];
  const quads = new Uint32Array(3 * 2 * columns * rows);
  let count = 0;
  for (let j = 0; j + 1 < rows; j++) {
    for (let i = 0; i < columns; i++) {
      const a = j * columns + i;
      const b = j * columns + ((i + 1) % columns);
      quads.set([a, a + columns, b, b, a + columns, b + columns], count);
      count += 6;
    }
  }
  for (let i = 0; i < columns; i++) {
    const next = (i + 1) % columns;
    triangles.push(base, i, next, base + 1, (rows - 1) * columns + next, (rows - 1) * columns + i);
  }
  quads.set(triangles, count);
  return { positions, triangles: quads };
}

function barMargin(options: BarOptions): Points3 {
  const { length, section } = options;
  const at =
    options.margin ??
    ((y: number) => {
      const [x, z] = section(y)[0];
      return { right: [x, z] as const, left: [-x, z] as const };
    });
  const points: number[] = [];
  const steps = Math.round(length / 0.25);
  const end = (y: number, from: readonly [number, number], to: readonly [number, number]): void => {
    const across = Math.max(2, Math.round(Math.abs(to[0] - from[0]) / 0.25));
    for (let k = 1; k < across; k++) {
      const f = k / across;
      points.push(from[0] + f * (to[0] - from[0]), y, from[1] + f * (to[1] - from[1]));
    }
  };
  const top = at(length);
  const bottom = at(0);
  const middle = [(top.left[0] + top.right[0]) / 2, (top.left[1] + top.right[1]) / 2] as const;
  points.push(middle[0], length, middle[1]);
  end(length, middle, top.right);
  for (let k = 0; k <= steps; k++) {
    const y = length * (1 - k / steps);
    points.push(at(y).right[0], y, at(y).right[1]);
  }
  end(0, bottom.right, bottom.left);
  for (let k = 0; k <= steps; k++) {
    const y = (length * k) / steps;
    points.push(at(y).left[0], y, at(y).left[1]);
  }
  end(length, top.left, middle);
  return Float64Array.from(points);
}

/** A model from a mesh and its margin (tip first, clockwise on Face A), both in the specimen frame. */
export function modelOf(
  mesh: TriangleMesh,
  marginPoints: Points3,
  length: number,
  quality: { meanEdge: number; noise: number },
): Model {
  const margin = marginOf(marginPoints, length);
  const identity = Float64Array.of(1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1);
  const outer = new Float64Array((2 * marginPoints.length) / 3);
  const n = outer.length / 2;
  for (let i = 0; i < n; i++) {
    outer[2 * i] = marginPoints[3 * (n - 1 - i)];
    outer[2 * i + 1] = marginPoints[3 * (n - 1 - i) + 1];
  }
  const axis = { angle: 0, x: 0 };
  return {
    frame: {
      matrix: identity,
      rigid: identity,
      axis: 'mirror',
      faceA: 'more-volume',
      tip: 'less-area',
      axes: { mirror: axis, principal: axis, longest: axis },
    },
    outline: { outer, inner: [] },
    midline: straightMidline(length),
    length,
    surface: { mesh, twins: pairEdges(mesh), closed: true },
    margin,
    quality,
    scaleUncertainty: 0,
    warnings: [],
  };
}

/** The model with x, y and z multiplied: still a proper surface, with a margin that runs clockwise seen from +z. */
export function stretched(model: Model, sx: number, sy: number, sz: number): Model {
  if (model.surface === undefined || model.margin === undefined) throw new Error('no surface');
  const factor = [sx, sy, sz];
  const positions = model.surface.mesh.positions.map((v, i) => v * factor[i % 3]);
  const triangles = model.surface.mesh.triangles.slice();
  if (sx * sy * sz < 0) {
    for (let t = 0; t < triangles.length; t += 3) triangles.subarray(t + 1, t + 3).reverse();
  }
  const { points } = model.margin;
  const n = points.length / 3;
  // Mirrored in x the line runs the other way: taken from its end, the tip still first.
  const moved = points.map((_, i) => {
    const k = Math.floor(i / 3);
    const from = sx < 0 ? (n - k) % n : k;
    return factor[i % 3] * points[3 * from + (i % 3)];
  });
  const { meanEdge, noise } = model.quality;
  return modelOf({ positions, triangles }, moved, sy * model.length, { meanEdge: meanEdge * sy, noise });
}

export function marginOf(points: Points3, length: number): MarginLine {
  const side = new Uint8Array(points.length / 3);
  for (let i = 0; i < side.length; i++) {
    const y = points[3 * i + 1];
    if (y > 0.95 * length) side[i] = SIDES.indexOf('tip');
    else if (y < 0.05 * length) side[i] = SIDES.indexOf('base');
    else side[i] = SIDES.indexOf(points[3 * i] < 0 ? 'left' : 'right');
  }
  return { ...closedCurve(points), side };
}

/** Half-edge twins by a hash of vertex pairs; NO_TWIN on rims. */
export function pairEdges(mesh: TriangleMesh): Twins {
  const { triangles, positions } = mesh;
  const vertices = positions.length / 3;
  const open = new Map<number, number>();
  const twins = new Uint32Array(triangles.length).fill(NO_TWIN);
  for (let h = 0; h < triangles.length; h++) {
    const a = triangles[h];
    const b = triangles[h % 3 === 2 ? h - 2 : h + 1];
    const other = open.get(b * vertices + a);
    if (other === undefined) open.set(a * vertices + b, h);
    else {
      twins[h] = other;
      twins[other] = h;
      open.delete(b * vertices + a);
    }
  }
  return twins;
}

function straightMidline(length: number): Midline {
  const station = Float64Array.from({ length: 201 }, (_, i) => i / 2);
  const zero = new Float64Array(201);
  return {
    station,
    y: station.map((s) => (s * length) / 100),
    leftX: zero,
    rightX: zero,
    x: zero,
    several: new Uint8Array(201),
  };
}

function perimeter(ring: readonly (readonly [number, number])[]): number {
  return ring.reduce((sum, [x, z], i) => {
    const [nx, nz] = ring[(i + 1) % ring.length];
    return sum + Math.hypot(nx - x, nz - z);
  }, 0);
}

/** `count` points at even arc length round a ring, the first `phase` steps from the ring's first point. */
function resampleRing(
  ring: readonly (readonly [number, number])[],
  count: number,
  phase: number,
): Float64Array {
  const step = perimeter(ring) / count;
  const out = new Float64Array(2 * count);
  let i = 0;
  let before = 0;
  for (let k = 0; k < count; k++) {
    const s = (k + phase) * step;
    for (;;) {
      const [ax, az] = ring[i % ring.length];
      const [bx, bz] = ring[(i + 1) % ring.length];
      const d = Math.hypot(bx - ax, bz - az);
      if (s <= before + d || i >= ring.length) {
        const f = d > 0 ? (s - before) / d : 0;
        out[2 * k] = ax + f * (bx - ax);
        out[2 * k + 1] = az + f * (bz - az);
        break;
      }
      before += d;
      i++;
    }
  }
  return out;
}

/** Rhombic section: two wedges of `angle` degrees back to back, `halfWidth` from axis to edge. */
export function wedgeSection(halfWidth: number, angle: number): [number, number][] {
  const top = halfWidth * Math.tan((angle * Math.PI) / 360);
  return [
    [halfWidth, 0],
    [0, top],
    [-halfWidth, 0],
    [0, -top],
  ];
}

/** Section bounded by two equal circular arcs of chord `width` and sagitta `sagitta`. */
export function lensSection(width: number, sagitta: number, points = 400): [number, number][] {
  const radius = (width * width) / (8 * sagitta) + sagitta / 2;
  const half = Math.asin(width / (2 * radius));
  const section: [number, number][] = [];
  for (const face of [1, -1]) {
    for (let i = 0; i < points; i++) {
      const a = half * (1 - (2 * i) / points);
      section.push([face * radius * Math.sin(a), face * (radius * Math.cos(a) - (radius - sagitta))]);
    }
  }
  return section;
}
