import type { Matrix4, Points2, Points3 } from '../../src/geometry/types.ts';
import { crossings, type PlanAxis } from './axes.ts';
import { climb, type Heights, type HumpSpec, type PieceField } from './field.ts';
import { framePlan, reversed, scanToFrame } from './framePlan.ts';
import { marginLine, sideOf, sinuosity, smoothed, wander } from './marginTruth.ts';
import { bounds, createInside } from './polygonInside.ts';
import type { Pose } from './pose.ts';
import { integrateChord, once } from './quadrature.ts';

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
  /** Length of a side seen edge-on over the straight distance of its ends, smoothed as defined at `scale` mm; 0: as is. */
  sinuosity(side: 'left' | 'right', scale?: number): number;
  /** RMS of a side's z about its least-squares line in y, weighted by arc length in plan, mm. */
  wander(side: 'left' | 'right'): number;
  readonly humps: readonly HumpTruth[];
}

export interface AxisInput {
  readonly field: PieceField;
  readonly humps: readonly HumpSpec[];
  readonly pose: Pose;
  /** The design frame's +z is Face A. */
  readonly up: boolean;
  /** Share of the volume above z = 0 in the design frame. */
  readonly share: number;
}

export function createAxisTruth(id: TruthAxis, axis: PlanAxis, input: AxisInput): AxisTruth {
  const { field, up } = input;
  const plan = framePlan(field.domain.points, axis, up);
  const outline = up ? plan.points : reversed(plan.points);
  const box = bounds(outline);
  const length = box.y1;
  const h: Heights = { margin: 0, a: 0, b: 0, psi: 0 };
  const inside = createInside(outline);
  const surfaceAt = (x: number, y: number) => {
    if (!inside(x, y)) return undefined;
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
    sinuosity: (which, scale = 0) =>
      sinuosity(scale === 0 ? side(which) : sideOf(smoothed(margin(), scale), length, which)),
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
