import type { Points2 } from '../../src/geometry/types.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/measures/settings.ts';
import type { AxisTruth } from '../pieces/axisTruth.ts';
import type { Piece } from '../pieces/piece.ts';

const WIDTH_STATIONS = [10, 20, 25, 30, 40, 50, 60, 70, 75, 80, 90];
const TENTHS = [10, 20, 30, 40, 50, 60, 70, 80, 90];

/** The true value of every measure that has one in closed form or by quadrature, by id. No code of the program in it. */
export function exactValues(piece: Piece, simple: boolean): ReadonlyMap<string, number> {
  const truth = piece.truth.axes.mirror;
  const { area, volume } = piece.truth;
  const { length, width } = truth;
  const thickness = truth.thickness.value;
  const feret = feretOf(truth.outline);
  const out = new Map<string, number>([
    ['length', length],
    ['width', width],
    ['area', area],
    ['elongation', length / width],
    ['feret.max', feret.max],
    ['feret.min', feret.min],
    ['thickness', thickness],
    ['thickness.box', truth.thicknessBox],
    ['thickness.mean', volume / area],
    ['width.thickness', width / thickness],
    ['volume', volume],
    ['faces.balance', truth.balance],
    ['roe.bl', width / length],
    ['roe.thb', thickness / width],
    ['roe.t1l', truth.sectionThickness(80) / length],
    ['roe.b1b2', truth.widthAt(80) / truth.widthAt(20)],
    ['bordes.lm', length / width],
    ['bordes.nm', (100 * truth.widthAt(50)) / width],
    ['bordes.me', width / thickness],
    ['flatness', (length + width) / (2 * thickness)],
  ]);
  for (const n of WIDTH_STATIONS) out.set(`width.at.${n}`, truth.widthAt(n));
  for (const n of TENTHS) {
    out.set(`thickness.at.${n}`, truth.sectionThickness(n));
    out.set(`section.${n}.area`, truth.sectionArea(n));
    out.set(`section.${n}.width`, truth.widthAt(n));
    out.set(`section.${n}.thickness`, truth.sectionThickness(n));
  }
  for (const side of ['left', 'right'] as const) {
    out.set(`edge.wander.${side}`, truth.wander(side));
    out.set(`edge.sinuosity.${side}`, truth.sinuosity(side, DEFAULT_MEASURE_SETTINGS.sinuosityScale));
  }
  // Where a row of the outline has several chords, half-widths do not say what overlaps.
  if (simple) for (const [id, value] of symmetryOf(truth)) out.set(id, value);
  const tallest = Math.max(0, ...truth.humps.map(({ prominence }) => prominence));
  if (tallest > 0) out.set('humps.tallest', tallest);
  return out;
}

/** Sums over half-widths at 20 001 heights; midline over the 199 stations of its definition. */
function symmetryOf(truth: AxisTruth): readonly (readonly [string, number])[] {
  const at = (count: number, k: number) => {
    const inside = Math.min(1 - 1e-9, Math.max(1e-9, k / (count - 1)));
    return truth.halfWidths(inside * truth.length);
  };
  let [common, whole] = [0, 0];
  for (let k = 0; k < 20_001; k++) {
    const { left, right } = at(20_001, k);
    common += 2 * Math.max(0, Math.min(left, right));
    whole += left + right;
  }
  let squares = 0;
  for (let k = 1; k < 200; k++) {
    const { left, right } = at(201, k);
    squares += (k === 1 || k === 199 ? 1.5 : 1) * (right - left) ** 2;
  }
  const rms = Math.sqrt(squares / 200);
  const overlap = (100 * common) / whole;
  return [
    ['symmetry.overlap', overlap],
    ['symmetry.difference', 100 - overlap],
    ['symmetry.rms', (100 * rms) / truth.width],
    ['midline.rms', rms / 2],
  ];
}

/** Greatest and least caliper diameter: the farthest pair of corners, and the least width square to an edge of the hull. O(h²). */
function feretOf(outline: Points2): { readonly max: number; readonly min: number } {
  const hull = hullOf(outline);
  let [max, min] = [0, Infinity];
  hull.forEach(([ax, ay], i) => {
    const [bx, by] = hull[(i + 1) % hull.length];
    const edge = Math.hypot(bx - ax, by - ay);
    let across = 0;
    for (const [x, y] of hull) {
      max = Math.max(max, Math.hypot(x - ax, y - ay));
      across = Math.max(across, ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / edge);
    }
    min = Math.min(min, across);
  });
  return { max, min };
}

/** Corners of the convex hull, counter-clockwise (Andrew's monotone chain). */
function hullOf(outline: Points2): (readonly [number, number])[] {
  const points = Array.from(
    { length: outline.length / 2 },
    (_, i) => [outline[2 * i], outline[2 * i + 1]] as const,
  );
  points.sort(([ax, ay], [bx, by]) => ax - bx || ay - by);
  const chain = (list: readonly (readonly [number, number])[]) => {
    const out: (readonly [number, number])[] = [];
    for (const p of list) {
      for (; out.length > 1; out.pop()) {
        const [[ax, ay], [bx, by]] = [out[out.length - 2], out[out.length - 1]];
        if ((bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax) > 0) break;
      }
      out.push(p);
    }
    return out.slice(0, -1);
  };
  return [...chain(points), ...chain(points.toReversed())];
}
