import type { Matrix4, Points2, Points3 } from '../../src/geometry/types.ts';
import {
  crossings,
  intoAxis,
  longestAxis,
  mirrorAxis,
  moments,
  type PlanAxis,
  principalAxis,
} from './axes.ts';
import { bounds, climb, type Heights, type HumpSpec, inside, type PieceField } from './field.ts';

export type TruthAxis = 'mirror' | 'principal' | 'longest';

/** A hump as it stands in the specimen frame. */
export interface HumpTruth {
  readonly face: 'A' | 'B';
  readonly x: number;
  readonly y: number;
  readonly prominence: number;
  readonly radius: number;
}

/** Everything that is exact about a piece under one length axis. Specimen frame, mm, noise-free surface. */
export interface AxisTruth {
  readonly axis: TruthAxis;
  /** Scan coordinates (as in `Piece.mesh`) → specimen frame, mm. */
  readonly toFrame: Matrix4;
  /** Outline in the frame, counter-clockwise seen on Face A. */
  readonly outline: Points2;
  readonly length: number;
  readonly width: number;
  /** Percent. Where several stations tie, the first found. */
  readonly widthStation: number;
  /** Greatest distance between the outermost margins at a station, mm. */
  widthAt(station: number): number;
  /** Half-widths left and right of the axis at height y (mm), outermost margins, both positive on their own side. */
  halfWidths(y: number): { left: number; right: number };
  /** Area of the section at a station, mm²; `points` quadrature points across (default 2000). */
  sectionArea(station: number, points?: number): number;
  /** Greatest thickness across the section at a station, mm. */
  sectionThickness(station: number): number;
  /** Surface heights over a plan point, or undefined outside: z of Face A and of Face B. */
  surfaceAt(x: number, y: number): { a: number; b: number; margin: number } | undefined;
  readonly thickness: {
    readonly value: number;
    readonly station: number;
    readonly x: number;
    readonly y: number;
  };
  /** Greatest extent along z, mm. */
  readonly thicknessBox: number;
  /** Volume above the margin plane over the whole volume, percent. */
  readonly balance: number;
  /** Margin in the frame, clockwise seen on Face A from the tip (greatest y); 3 × n, closed implicitly. */
  readonly margin: Points3;
  /** Margin of one side between stations 5 and 95 from base to tip: x y z triples. */
  side(side: 'left' | 'right'): Points3;
  /** Length of a side seen edge-on over the straight distance of its ends; no smoothing. */
  sinuosity(side: 'left' | 'right'): number;
  /** RMS of a side's z about its least-squares line in y, weighted by 3D arc length, mm. */
  wander(side: 'left' | 'right'): number;
  readonly humps: readonly HumpTruth[];
}

export interface PieceTruth {
  /** Plan area, mm². */
  readonly area: number;
  /** Perimeter of the polygon, without smoothing, mm. */
  readonly perimeter: number;
  /** mm³. */
  readonly volume: number;
  /** mm² and mm³ with a chosen number of quadrature lines and points, to show convergence. */
  volumeBy(lines: number, points: number): number;
  /** Normal of the margin plane in scan coordinates, unit length, out of Face A. */
  readonly normal: readonly [number, number, number];
  /** Dihedral angle of the two faces at the very edge (degrees), at plan point `index` of the outline polygon. */
  edgeAngleAt(index: number): number;
  readonly axes: Readonly<Record<TruthAxis, AxisTruth>>;
}

/** Where the design frame went: scan = scale · (R · design + shift). */
export interface Pose {
  /** Row-major 3 × 3. */
  readonly rotation: readonly number[];
  /** mm. */
  readonly shift: readonly [number, number, number];
  /** Scan units in a millimetre. */
  readonly unitsPerMm: number;
}

export function createTruth(field: PieceField, humps: readonly HumpSpec[], pose: Pose): PieceTruth {
  const polygon = field.polygon.points;
  const n = polygon.length / 2;
  const h: Heights = { margin: 0, a: 0, b: 0, psi: 0 };
  let perimeter = 0;
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    perimeter += Math.hypot(polygon[2 * j] - polygon[2 * i], polygon[2 * j + 1] - polygon[2 * i + 1]);
  }
  const volumeBy = (lines: number, points: number) =>
    integrate(polygon, lines, points, (x, y) => {
      field.heights(x, y, h);
      return h.a + h.b;
    });
  const above = once(() =>
    integrate(polygon, 400, 400, (x, y) => {
      field.heights(x, y, h);
      return Math.max(0, h.margin + h.a) - Math.max(0, h.margin - h.b);
    }),
  );
  const volume = once(() => volumeBy(600, 400));
  const upper = once(() => above() * 2 >= volume());
  const axisTruth = (id: TruthAxis, find: (p: Points2) => PlanAxis) =>
    once(() =>
      createAxisTruth(id, find(polygon), { field, humps, pose, up: upper(), share: above() / volume() }),
    );
  const mirror = axisTruth('mirror', mirrorAxis);
  const principal = axisTruth('principal', principalAxis);
  const longest = axisTruth('longest', longestAxis);
  return {
    area: moments(polygon).area,
    perimeter,
    get volume() {
      return volume();
    },
    volumeBy,
    get normal() {
      const sign = upper() ? 1 : -1;
      const r = pose.rotation;
      return [sign * r[2], sign * r[5], sign * r[8]] as const;
    },
    edgeAngleAt: (index) => edgeAngleAt(field, index),
    axes: {
      get mirror() {
        return mirror();
      },
      get principal() {
        return principal();
      },
      get longest() {
        return longest();
      },
    },
  };
}

function once<T>(make: () => T): () => T {
  let kept: { value: T } | undefined;
  return () => {
    kept ??= { value: make() };
    return kept.value;
  };
}

/**
 * ∫ f over the inside of a polygon: midpoint lines along y; on each chord the substitution x = m − w·cos θ, θ at midpoints,
 * which crowds points near the ends and copes with root-like edges.
 */
export function integrate(
  polygon: Points2,
  lines: number,
  points: number,
  f: (x: number, y: number) => number,
): number {
  const box = bounds(polygon);
  const h = (box.y1 - box.y0) / lines;
  const ys = Float64Array.from({ length: lines }, (_, k) => box.y0 + (k + 0.5) * h);
  const lists = crossings(polygon, ys);
  let sum = 0;
  for (let k = 0; k < lines; k++) {
    for (let i = 0; i + 1 < lists[k].length; i += 2) {
      sum += integrateChord(lists[k][i], lists[k][i + 1], points, (x) => f(x, ys[k]));
    }
  }
  return sum * h;
}

function integrateChord(x0: number, x1: number, points: number, f: (x: number) => number): number {
  const middle = (x0 + x1) / 2;
  const half = (x1 - x0) / 2;
  let sum = 0;
  for (let k = 0; k < points; k++) {
    const theta = ((k + 0.5) * Math.PI) / points;
    sum += f(middle - half * Math.cos(theta)) * Math.sin(theta);
  }
  return (sum * half * Math.PI) / points;
}

interface AxisInput {
  readonly field: PieceField;
  readonly humps: readonly HumpSpec[];
  readonly pose: Pose;
  /** The design frame's +z is Face A. */
  readonly up: boolean;
  /** Share of the volume above z = 0 in the design frame. */
  readonly share: number;
}

function createAxisTruth(id: TruthAxis, axis: PlanAxis, input: AxisInput): AxisTruth {
  const { field, up } = input;
  const plan = framePlan(field.polygon.points, axis, up);
  const outline = up ? plan.points : reversed(plan.points);
  const box = bounds(outline);
  const length = box.y1;
  const h: Heights = { margin: 0, a: 0, b: 0, psi: 0 };
  const surfaceAt = (x: number, y: number) => {
    if (!inside(outline, x, y)) return undefined;
    const [u, v] = plan.toDesign(x, y);
    field.heights(u, v, h);
    if (up) return { a: h.margin + h.a, b: h.margin - h.b, margin: h.margin };
    return { a: h.b - h.margin, b: -h.a - h.margin, margin: -h.margin };
  };
  const thick = (x: number, y: number) => {
    const at = surfaceAt(x, y);
    return at === undefined ? -Infinity : at.a - at.b;
  };
  const margin = once(() => marginLine(field, plan, outline, up));
  const side = (which: 'left' | 'right') => sideOf(margin(), length, which);
  const outer = (y: number) => {
    const list = crossings(outline, [y])[0];
    return list.length > 1 ? { left: list[0], right: list[list.length - 1] } : { left: 0, right: 0 };
  };
  const starts = once(() => gridStarts(box));
  const thickness = once(() => {
    const top = climb(thick, starts(), length / 100, 1e-5);
    return { value: top.value, station: (100 * top.y) / length, x: top.x, y: top.y };
  });
  const greatestWidth = once(() => greatestChord(outline, length));
  return {
    axis: id,
    toFrame: scanToFrame(input.pose, plan, up),
    outline,
    length,
    get width() {
      return greatestWidth().width;
    },
    get widthStation() {
      return (100 * greatestWidth().y) / length;
    },
    widthAt(station) {
      const { left, right } = outer((station / 100) * length);
      return right - left;
    },
    halfWidths(y) {
      const { left, right } = outer(y);
      return { left: -left, right };
    },
    sectionArea(station, points = 2000) {
      const y = (station / 100) * length;
      const list = crossings(outline, [y])[0];
      let sum = 0;
      for (let i = 0; i + 1 < list.length; i += 2) {
        sum += integrateChord(list[i], list[i + 1], points, (x) => Math.max(0, thick(x, y)));
      }
      return sum;
    },
    sectionThickness(station) {
      const y = (station / 100) * length;
      const { left, right } = outer(y);
      const at = Array.from({ length: 400 }, (_, k) => ({ x: left + ((right - left) * (k + 0.5)) / 400, y }));
      // Climbing along x only: the section is one line.
      return climb((x) => thick(x, y), at, (right - left) / 400, 1e-5).value;
    },
    surfaceAt,
    get thickness() {
      return thickness();
    },
    get thicknessBox() {
      const high = climb((x, y) => surfaceAt(x, y)?.a ?? -Infinity, starts(), length / 100, 1e-5).value;
      const low = climb((x, y) => -(surfaceAt(x, y)?.b ?? Infinity), starts(), length / 100, 1e-5).value;
      const z = margin().filter((_, i) => i % 3 === 2);
      return (
        Math.max(
          high,
          z.reduce((m, v) => Math.max(m, v), -Infinity),
        ) + Math.max(low, -z.reduce((m, v) => Math.min(m, v), Infinity))
      );
    },
    balance: 100 * (up ? input.share : 1 - input.share),
    get margin() {
      return margin();
    },
    side,
    sinuosity: (which) => sinuosity(side(which)),
    wander: (which) => wander(side(which)),
    humps: input.humps.map((hump) => {
      const [x, y] = plan.fromDesign(hump.x, hump.y);
      return {
        face: (hump.face === 'A') === up ? 'A' : 'B',
        x,
        y,
        prominence: hump.prominence,
        radius: hump.radius,
      };
    }),
  };
}

interface FramePlan {
  readonly points: Points2;
  readonly fromDesign: (u: number, v: number) => [number, number];
  readonly toDesign: (x: number, y: number) => [number, number];
}

/** Turns, flips and shifts the plan into the frame: axis along +y, tip up, base at y = 0, x right as seen on Face A. */
function framePlan(polygon: Points2, axis: PlanAxis, up: boolean): FramePlan {
  let angle = axis.angle;
  // The tip is the end whose outer 15 % of length holds less area.
  const q = intoAxis(polygon, axis);
  const box = bounds(q);
  const cut = 0.15 * (box.y1 - box.y0);
  if (areaBetween(q, box.y1 - cut, box.y1) > areaBetween(q, box.y0, box.y0 + cut)) angle += Math.PI;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const sign = up ? 1 : -1;
  const base = bounds(intoAxis(polygon, { ...axis, angle })).y0;
  const fromDesign = (u: number, v: number): [number, number] => {
    const [dx, dy] = [u - axis.x, v - axis.y];
    return [sign * (dx * s - dy * c), dx * c + dy * s - base];
  };
  const toDesign = (x: number, y: number): [number, number] => {
    const [p, r] = [sign * x, y + base];
    return [axis.x + p * s + r * c, axis.y - p * c + r * s];
  };
  const points = new Float64Array(polygon.length);
  for (let i = 0; i < points.length; i += 2) {
    [points[i], points[i + 1]] = fromDesign(polygon[i], polygon[i + 1]);
  }
  return { points, fromDesign, toDesign };
}

function areaBetween(q: Points2, y0: number, y1: number): number {
  const lines = 2000;
  const ys = Float64Array.from({ length: lines }, (_, k) => y0 + ((k + 0.5) * (y1 - y0)) / lines);
  let sum = 0;
  for (const list of crossings(q, ys))
    for (let i = 0; i + 1 < list.length; i += 2) sum += list[i + 1] - list[i];
  return (sum * (y1 - y0)) / lines;
}

function reversed(p: Points2): Points2 {
  const n = p.length / 2;
  const out = new Float64Array(p.length);
  for (let i = 0; i < n; i++) {
    out[2 * i] = p[2 * (n - 1 - i)];
    out[2 * i + 1] = p[2 * (n - 1 - i) + 1];
  }
  return out;
}

/** Width is piecewise linear between the heights of vertices; it may jump at a barb, so look just off each vertex too. */
function greatestChord(outline: Points2, length: number): { width: number; y: number } {
  const ys: number[] = [];
  for (let i = 1; i < outline.length; i += 2) {
    for (const y of [outline[i] - 1e-7, outline[i], outline[i] + 1e-7]) if (y > 0 && y < length) ys.push(y);
  }
  ys.sort((a, b) => a - b);
  const lists = crossings(outline, ys);
  let best = { width: 0, y: 0 };
  for (let k = 0; k < ys.length; k++) {
    const list = lists[k];
    if (list.length < 2) continue;
    const width = list[list.length - 1] - list[0];
    if (width > best.width) best = { width, y: ys[k] };
  }
  return best;
}

function gridStarts(box: { x0: number; x1: number; y0: number; y1: number }): { x: number; y: number }[] {
  const starts: { x: number; y: number }[] = [];
  for (let i = 1; i < 100; i++) {
    for (let j = 1; j < 200; j++) {
      starts.push({ x: box.x0 + ((box.x1 - box.x0) * i) / 100, y: box.y0 + ((box.y1 - box.y0) * j) / 200 });
    }
  }
  return starts;
}

/** The exact margin, four points to each polygon edge, from the tip clockwise seen on Face A. */
function marginLine(field: PieceField, plan: FramePlan, outline: Points2, up: boolean): Points3 {
  const n = outline.length / 2;
  let tip = 0;
  for (let i = 1; i < n; i++) if (outline[2 * i + 1] > outline[2 * tip + 1]) tip = i;
  const out = new Float64Array(12 * n);
  for (let k = 0; k < 4 * n; k++) {
    const i = (tip - Math.floor(k / 4) + n) % n;
    const j = (i - 1 + n) % n;
    const f = (k % 4) / 4;
    const x = outline[2 * i] * (1 - f) + outline[2 * j] * f;
    const y = outline[2 * i + 1] * (1 - f) + outline[2 * j + 1] * f;
    const z = field.margin(...plan.toDesign(x, y));
    out.set([x, y, up ? z : -z], 3 * k);
  }
  return out;
}

/** Points of a side with stations 5…95, base to tip. The right side comes first from the tip. */
function sideOf(margin: Points3, length: number, side: 'left' | 'right'): Points3 {
  const n = margin.length / 3;
  let base = 0;
  for (let i = 1; i < n; i++) if (margin[3 * i + 1] < margin[3 * base + 1]) base = i;
  const indices: number[] = [];
  if (side === 'right') for (let i = base; i >= 0; i--) indices.push(i);
  else for (let i = base; i <= n; i++) indices.push(i % n);
  // The two ends are cut exactly at the stations.
  const [low, high] = [0.05 * length, 0.95 * length];
  let first = 0;
  while (margin[3 * indices[first + 1] + 1] < low) first++;
  let last = indices.length - 1;
  while (margin[3 * indices[last - 1] + 1] > high) last--;
  const out: number[] = [];
  for (let k = first; k <= last; k++) {
    let point = at(margin, indices[k]);
    if (k === first) point = cutAt(point, at(margin, indices[k + 1]), low);
    if (k === last) point = cutAt(at(margin, indices[k - 1]), point, high);
    out.push(...point);
  }
  return Float64Array.from(out);
}

function at(p: Points3, i: number): [number, number, number] {
  return [p[3 * i], p[3 * i + 1], p[3 * i + 2]];
}

function cutAt(p: readonly number[], q: readonly number[], y: number): [number, number, number] {
  const f = (y - p[1]) / (q[1] - p[1]);
  return [p[0] + f * (q[0] - p[0]), y, p[2] + f * (q[2] - p[2])];
}

function sinuosity(p: Points3): number {
  const n = p.length / 3;
  let sum = 0;
  for (let i = 1; i < n; i++) sum += Math.hypot(p[3 * i + 1] - p[3 * i - 2], p[3 * i + 2] - p[3 * i - 1]);
  return sum / Math.hypot(p[3 * n - 2] - p[1], p[3 * n - 1] - p[2]);
}

function wander(p: Points3): number {
  const n = p.length / 3;
  let [w, sy, sz, syy, syz, szz] = [0, 0, 0, 0, 0, 0];
  for (let i = 1; i < n; i++) {
    const [a, b] = [at(p, i - 1), at(p, i)];
    const ds = Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]);
    const [y, z] = [(a[1] + b[1]) / 2, (a[2] + b[2]) / 2];
    w += ds;
    sy += ds * y;
    sz += ds * z;
    syy += ds * y * y;
    syz += ds * y * z;
    szz += ds * z * z;
  }
  const [cyy, cyz, czz] = [syy - (sy * sy) / w, syz - (sy * sz) / w, szz - (sz * sz) / w];
  return Math.sqrt(Math.max(0, (czz - (cyz * cyz) / cyy) / w));
}

/** Dihedral angle at a vertex of the outline from one-sided slopes just inside it, degrees. */
function edgeAngleAt(field: PieceField, index: number): number {
  const p = field.polygon.points;
  const n = p.length / 2;
  const i = ((index % n) + n) % n;
  const j = (i + 1) % n;
  const [tx, ty] = [p[2 * j] - p[2 * i], p[2 * j + 1] - p[2 * i + 1]];
  const length = Math.hypot(tx, ty);
  const [nx, ny] = [-ty / length, tx / length];
  const [x, y] = [(p[2 * i] + p[2 * j]) / 2, (p[2 * i + 1] + p[2 * j + 1]) / 2];
  const d = 1e-3;
  const h: Heights = { margin: 0, a: 0, b: 0, psi: 0 };
  field.heights(x + d * nx, y + d * ny, h);
  const mn = (h.margin - field.margin(x, y)) / d;
  const mt = (field.margin(p[2 * j], p[2 * j + 1]) - field.margin(p[2 * i], p[2 * i + 1])) / length;
  // Along the edge both faces rise as the margin does; inward they add their own slopes.
  const [sa, sb] = [mn + h.a / d, mn - h.b / d];
  const normalA = [-mt, -sa, 1];
  const normalB = [mt, sb, -1];
  const dot = normalA.reduce((sum, v, k) => sum + v * normalB[k], 0);
  return 180 - (Math.acos(dot / (Math.hypot(...normalA) * Math.hypot(...normalB))) * 180) / Math.PI;
}

/** Column-major 4 × 4: frame = plan turn · Rᵀ · (scan/scale − shift). */
function scanToFrame(pose: Pose, plan: FramePlan, up: boolean): Matrix4 {
  const [ox, oy] = plan.fromDesign(0, 0);
  const [ux, uy] = plan.fromDesign(1, 0);
  const [vx, vy] = plan.fromDesign(0, 1);
  const turn = [ux - ox, vx - ox, 0, uy - oy, vy - oy, 0, 0, 0, up ? 1 : -1];
  const r = pose.rotation;
  const m = new Float64Array(16);
  m[15] = 1;
  const offset = [ox, oy, 0];
  for (let row = 0; row < 3; row++) {
    let moved = offset[row];
    for (let col = 0; col < 3; col++) {
      // (turn · Rᵀ)[row][col]
      const v =
        turn[3 * row] * r[3 * col] + turn[3 * row + 1] * r[3 * col + 1] + turn[3 * row + 2] * r[3 * col + 2];
      m[4 * col + row] = v / pose.unitsPerMm;
      moved -= v * pose.shift[col];
    }
    m[12 + row] = moved;
  }
  return m;
}
