import { pairHalfEdges } from '../../../src/geometry/meshTwins.ts';
import { polygonMoments } from '../../../src/geometry/polygonMoments.ts';
import type { Points2, TriangleMesh } from '../../../src/geometry/types.ts';
import { measure } from '../../../src/measures/measure.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../../src/measures/settings.ts';
import type { Measurement, MeasureResult, MeasureSettings } from '../../../src/measures/types.ts';
import { orderMargin } from '../../../src/trace/marginLine.ts';
import { traceMidline } from '../../../src/trace/midline.ts';
import type { Frame, Model } from '../../../src/trace/types.ts';

/** Models written down by formula, without tracing: the outline is the true one, in the specimen frame, mm. */
export interface ModelSpec {
  readonly outer: Points2;
  readonly inner?: readonly Points2[];
  /** In the specimen frame; its margin is the outline at height `margin` (0 unless given). */
  readonly mesh?: TriangleMesh;
  readonly margin?: (x: number, y: number) => number;
  /** A margin is added even without a mesh. */
  readonly hasMargin?: boolean;
  readonly axes?: Frame['axes'];
  readonly noise?: number;
  readonly meanEdge?: number;
  readonly stations?: number;
}

const ON_AXIS = { angle: 0, x: 0 };

export function modelOf(spec: ModelSpec): Model {
  const outer = counterClockwise(spec.outer);
  const base = lowest(outer);
  const rings = [outer, ...(spec.inner ?? []).map((ring) => counterClockwise(ring, true))].map((ring) =>
    ring.map((v, i) => (i % 2 === 1 ? v - base : v)),
  );
  const outline = { outer: rings[0], inner: rings.slice(1) };
  const length = -lowest(rings[0].map((v) => -v));
  const midline = traceMidline(outline, length, spec.stations ?? 201);
  const identity = Float64Array.from({ length: 16 }, (_, i) => (i % 5 === 0 ? 1 : 0));
  const mesh = spec.mesh && shifted(spec.mesh, base);
  const z = spec.margin ?? (() => 0);
  const ring3 = Float64Array.from({ length: (rings[0].length / 2) * 3 }, (_, i) => {
    const at = 2 * Math.floor(i / 3);
    const [x, y] = [rings[0][at], rings[0][at + 1]];
    return i % 3 === 0 ? x : i % 3 === 1 ? y : z(x, y);
  });
  const twins = mesh && pairHalfEdges(mesh.positions, mesh.triangles).pairs;
  return {
    frame: {
      matrix: identity,
      rigid: identity,
      axis: 'mirror',
      faceA: 'more-volume',
      tip: 'less-area',
      axes: spec.axes ?? { mirror: ON_AXIS, principal: ON_AXIS, longest: ON_AXIS },
    },
    outline,
    midline,
    length,
    ...(mesh && twins ? { surface: { mesh, twins, closed: !twins.includes(0xffffffff) } } : {}),
    ...(mesh || spec.hasMargin ? { margin: orderMargin(ring3, midline, length) } : {}),
    quality: { meanEdge: spec.meanEdge ?? 0, noise: spec.noise ?? 0 },
    scaleUncertainty: 0,
    warnings: [],
  };
}

/** A measuring run with its values by id. */
export interface Measured extends MeasureResult {
  readonly of: (id: string) => number;
  readonly row: (id: string) => Measurement;
}

export function measured(spec: ModelSpec | Model, settings: Partial<MeasureSettings> = {}): Measured {
  const model = 'outline' in spec ? spec : modelOf(spec);
  const result = measure(model, { ...DEFAULT_MEASURE_SETTINGS, ...settings });
  const rows = new Map(result.measurements.map((row) => [row.id, row]));
  const row = (id: string): Measurement => {
    const found = rows.get(id);
    if (found === undefined) throw new Error(`no measure is called ${id}`);
    return found;
  };
  const of = (id: string): number => {
    const { value, reason } = row(id);
    if (typeof value !== 'number') throw new Error(`${id} is ${value}: ${reason}`);
    return value;
  };
  return { ...result, of, row };
}

export function points(...pairs: readonly (readonly [number, number])[]): Points2 {
  return Float64Array.from(pairs.flat());
}

/** Ellipse of half-axes a (x) and b (y) about the origin. */
export function ellipse(a: number, b: number, count = 2000): Points2 {
  return Float64Array.from({ length: 2 * count }, (_, i) => {
    const t = (Math.PI * (i >> 1)) / (count / 2);
    return i % 2 === 0 ? a * Math.sin(t) : -b * Math.cos(t);
  });
}

export function rectangle(width: number, height: number, x = 0): Points2 {
  const w = width / 2;
  return points([x - w, 0], [x + w, 0], [x + w, height], [x - w, height]);
}

/** Lens of two equal circular arcs: chord `length` along y, greatest width `width`. */
export function lens(length: number, width: number, count = 1500): Points2 {
  const sagitta = width / 2;
  const radius = (length * length) / (8 * sagitta) + sagitta / 2;
  const half = Math.asin(length / (2 * radius));
  return Float64Array.from({ length: 4 * count }, (_, i) => {
    const side = i < 2 * count ? 1 : -1;
    const a = side * half * (-1 + (2 * ((i >> 1) % count)) / count);
    return i % 2 === 0 ? side * (radius * Math.cos(a) - radius + sagitta) : radius * Math.sin(a);
  });
}

/** Each edge parted into `parts`. */
export function subdivided(ring: Points2, parts: number): Points2 {
  const n = ring.length / 2;
  const out: number[] = [];
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    for (let k = 0; k < parts; k++) {
      const f = k / parts;
      out.push(ring[2 * i] + f * (ring[2 * j] - ring[2 * i]));
      out.push(ring[2 * i + 1] + f * (ring[2 * j + 1] - ring[2 * i + 1]));
    }
  }
  return Float64Array.from(out);
}

/** Turned by `degrees` counter-clockwise about the origin. */
export function turned(ring: Points2, degrees: number): Points2 {
  const c = Math.cos((degrees * Math.PI) / 180);
  const s = Math.sin((degrees * Math.PI) / 180);
  return ring.map((v, i) => (i % 2 === 0 ? v * c - ring[i + 1] * s : ring[i - 1] * s + v * c));
}

export function scaled(ring: Points2, factor: number): Points2 {
  return ring.map((v) => v * factor);
}

export function mirroredX(ring: Points2): Points2 {
  return ring.map((v, i) => (i % 2 === 0 ? -v : v));
}

function counterClockwise(ring: Points2, clockwise = false): Points2 {
  if (polygonMoments([ring]).area > 0 !== clockwise) return ring;
  const n = ring.length / 2;
  return Float64Array.from(ring, (_, i) => ring[2 * (n - 1 - (i >> 1)) + (i % 2)]);
}

function lowest(ring: Points2): number {
  let low = Infinity;
  for (let i = 1; i < ring.length; i += 2) low = Math.min(low, ring[i]);
  return low;
}

function shifted(mesh: TriangleMesh, base: number): TriangleMesh {
  return { positions: mesh.positions.map((v, i) => (i % 3 === 1 ? v - base : v)), triangles: mesh.triangles };
}
