import type { Matrix4 } from '../../src/geometry/types.ts';
import { measure } from '../../src/measures/measure.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/measures/settings.ts';
import type { MeasureResult } from '../../src/measures/types.ts';
import { DEFAULT_TRACE_SETTINGS } from '../../src/trace/settings.ts';
import { traceScan } from '../../src/trace/traceScan.ts';
import type { Model } from '../../src/trace/types.ts';
import type { AxisTruth } from '../pieces/axisTruth.ts';
import type { Piece } from '../pieces/piece.ts';
import { makePiece } from '../pieces/piece.ts';
import type { Case } from './cases.ts';
import type { Finding, HumpCounts, Quantity } from './findings.ts';
import { toScan } from './toScan.ts';

export interface Compared {
  readonly findings: Finding[];
  readonly humps: HumpCounts;
  /** Face A and tip were the ones that the truth names, without a flip. */
  readonly sameWay: boolean;
  readonly model: Model;
  readonly result: MeasureResult;
  readonly piece: Piece;
}

/** Makes the piece, scans it, traces and measures it with default settings, and holds every number to the truth. */
export function compare({ name, spec }: Case): Compared {
  const piece = makePiece(spec);
  const scan = toScan(piece.mesh);
  const truth = piece.truth.axes.mirror;
  const first = traceScan(scan, DEFAULT_TRACE_SETTINGS);
  const [flipTip, flipFace] = [1, 2].map((k) => !alongTruth(first, truth, k));
  const turned = flipTip || flipFace;
  // What a person would see at once and flip is named as a miss, and the numbers are compared the right way round.
  const model = turned ? traceScan(scan, { ...DEFAULT_TRACE_SETTINGS, flipTip, flipFace }) : first;
  const result = measure(model, DEFAULT_MEASURE_SETTINGS);
  const findings: Finding[] = [];
  const add = (quantity: Quantity, error: number, limit: number, where = '') => {
    findings.push({ quantity, error, limit, where: where === '' ? name : `${name}, ${where}` });
  };
  const value = (id: string) => numberOf(result, id);
  const size = (quantity: Quantity, id: string, exact: number) => {
    add(quantity, value(id) - exact, Math.max(0.05, 0.001 * exact));
  };
  const share = (quantity: Quantity, id: string, exact: number, percent: number, where = '') => {
    add(quantity, (100 * (value(id) - exact)) / exact, percent, where);
  };
  size('length', 'length', truth.length);
  size('width', 'width', truth.width);
  size('thickness', 'thickness', truth.thickness.value);
  share('area', 'area', piece.truth.area, 0.1);
  share('volume', 'volume', piece.truth.volume, 0.1);
  for (let station = 10; station <= 90; station += 10) {
    // The same plane through the stone: near an end the area changes by per cents with the tenth of a millimetre that
    // the length is allowed, and the length has a row of its own.
    const y = truthHeight(model, truth, (station / 100) * model.length);
    const exact = truth.sectionArea((100 * y) / truth.length);
    share('section', `section.${station}.area`, exact, 0.3, `station ${station}`);
  }
  add('plane', planeError(model, truth), 0.3);
  add('principal', principalError(model, piece.truth.axes.principal), 0.3);
  add('longest', longestError(model, piece.truth.axes.longest), 0.3);
  add('halfWidths', halfWidthError(model, truth), 0.05);
  add('marginHeight', marginError(model, truth), 0.1);
  for (const side of ['left', 'right'] as const) {
    const found = value(`edge.sinuosity.${side}`);
    add('sinuosity', found - truth.sinuosity(side, DEFAULT_MEASURE_SETTINGS.sinuosityScale), 0.005, side);
    add('sinuosityBare', found - truth.sinuosity(side), 0.005, side);
  }
  const humps = compareHumps(result, truth, add);
  return { findings, humps, sameWay: !turned, model, result, piece };
}

export function numberOf(result: MeasureResult, id: string): number {
  const found = result.measurements.find((m) => m.id === id);
  if (found === undefined) throw new Error(`no measure is named ${id}`);
  if (typeof found.value !== 'number') throw new Error(`${id} has no value: ${found.reason}`);
  return found.value;
}

/** Row k of the turning part of a frame matrix: the frame's axis k in scan coordinates, unit length. */
function axisOf(matrix: Matrix4, k: number): [number, number, number] {
  const v = [matrix[k], matrix[4 + k], matrix[8 + k]];
  const length = Math.hypot(...v);
  return [v[0] / length, v[1] / length, v[2] / length];
}

function degreesBetweenLines(a: readonly number[], b: readonly number[]): number {
  const cross = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
  const dot = Math.abs(a[0] * b[0] + a[1] * b[1] + a[2] * b[2]);
  return (Math.atan2(Math.hypot(...cross), dot) * 180) / Math.PI;
}

export function planeError(model: Model, truth: AxisTruth): number {
  return degreesBetweenLines(axisOf(model.frame.rigid, 2), axisOf(truth.toFrame, 2));
}

/** An axis as the model gives it relative to the chosen one, in scan coordinates: a turn counter-clockwise on Face A. */
function foundAxis(model: Model, id: 'principal' | 'longest'): number[] {
  const turn = (model.frame.axes[id].angle * Math.PI) / 180;
  const x = axisOf(model.frame.rigid, 0);
  const y = axisOf(model.frame.rigid, 1);
  return y.map((v, k) => Math.cos(turn) * v - Math.sin(turn) * x[k]);
}

export function principalError(model: Model, truth: AxisTruth): number {
  return degreesBetweenLines(foundAxis(model, 'principal'), axisOf(truth.toFrame, 1));
}

/**
 * Degrees from the found direction to the nearest one along which the piece is as long as at its longest, to within the
 * tolerance of a length: where a base has two like corners the greatest diameter itself is a toss-up between them.
 */
export function longestError(model: Model, truth: AxisTruth): number {
  const found = foundAxis(model, 'longest');
  const y = axisOf(truth.toFrame, 1);
  const x = axisOf(truth.toFrame, 0);
  const dot = (a: readonly number[], b: readonly number[]) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  const start = Math.atan2(dot(found, x), dot(found, y));
  const feret = (angle: number) => {
    let [low, high] = [Infinity, -Infinity];
    for (let i = 0; i < truth.outline.length; i += 2) {
      const along = truth.outline[i] * Math.sin(angle) + truth.outline[i + 1] * Math.cos(angle);
      low = Math.min(low, along);
      high = Math.max(high, along);
    }
    return high - low;
  };
  const least = feret(0) - Math.max(0.05, 0.001 * feret(0));
  for (let off = 0; off <= 90; off += 0.02) {
    const turn = (off * Math.PI) / 180;
    if (feret(start + turn) >= least || feret(start - turn) >= least) return off;
  }
  return 90;
}

export function sameWay(model: Model, truth: AxisTruth): boolean {
  return [1, 2].every((k) => alongTruth(model, truth, k));
}

/** Whether axis k of the frame points the way that the truth's does. */
function alongTruth(model: Model, truth: AxisTruth, k: number): boolean {
  const a = axisOf(model.frame.rigid, k);
  const b = axisOf(truth.toFrame, k);
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2] > 0.99;
}

/** RMS over stations 2–98 of (r − l) found less (r − l) exact. Stations with several chords are left out, as marked. */
export function halfWidthError(model: Model, truth: AxisTruth): number {
  const { station, y, leftX, rightX, several } = model.midline;
  let [sum, n] = [0, 0];
  for (let i = 0; i < station.length; i++) {
    if (station[i] < 2 || station[i] > 98 || several[i] || nearJump(several, i)) continue;
    const at = (station[i] / 100) * truth.length;
    if (steps(truth, at)) continue;
    const exact = truth.halfWidths(at);
    const found = rightX[i] + leftX[i];
    sum += (found - (exact.right - exact.left)) ** 2;
    n++;
    if (Number.isNaN(y[i])) throw new Error('a station without height');
  }
  return Math.sqrt(sum / n);
}

/** A wall of a notch may run square to the length: which side of it is read goes by less than a length's own tolerance. */
function steps(truth: AxisTruth, y: number): boolean {
  const [below, above] = [y - 0.05, y + 0.05].map((at) => truth.halfWidths(at));
  return Math.max(Math.abs(above.left - below.left), Math.abs(above.right - below.right)) > 0.5;
}

/** Beside a barb or notch the outermost margin jumps: a hair's breadth along y decides which side of it is read. */
function nearJump(several: Uint8Array, i: number): boolean {
  return several[i - 1] === 1 || several[i + 1] === 1;
}

/** RMS distance along z between the traced margin and the exact one at the nearest place in plan. */
export function marginError(model: Model, truth: AxisTruth): number {
  const line = model.margin;
  if (line === undefined) throw new Error('the model has no margin');
  const toTruth = compose(truth.toFrame, model.frame.rigid);
  const exact = truth.margin;
  const n = line.points.length / 3;
  let [sum, weights] = [0, 0];
  for (let i = 0; i < n; i++) {
    const [x, y, z] = toTruth(line.points[3 * i], line.points[3 * i + 1], line.points[3 * i + 2]);
    const next = i + 1 < n ? line.arc[i + 1] : line.length;
    const weight = next - line.arc[i];
    sum += weight * (z - heightAt(exact, x, y)) ** 2;
    weights += weight;
  }
  return Math.sqrt(sum / weights);
}

/** z of a dense 3D polyline at the nearest point in plan. */
function heightAt(line: Float64Array, x: number, y: number): number {
  const n = line.length / 3;
  let best = Infinity;
  let height = Number.NaN;
  for (let i = 0; i < n; i++) {
    const j = i + 1 < n ? i + 1 : 0;
    const [x0, y0] = [line[3 * i], line[3 * i + 1]];
    const [ux, uy] = [line[3 * j] - x0, line[3 * j + 1] - y0];
    const t = Math.min(1, Math.max(0, ((x - x0) * ux + (y - y0) * uy) / (ux * ux + uy * uy)));
    const d = (x - x0 - t * ux) ** 2 + (y - y0 - t * uy) ** 2;
    if (d < best) {
      best = d;
      height = line[3 * i + 2] + t * (line[3 * j + 2] - line[3 * i + 2]);
    }
  }
  return height;
}

/** Model frame → scan → truth frame. */
function compose(toFrame: Matrix4, rigid: Matrix4): (x: number, y: number, z: number) => number[] {
  return (x, y, z) => {
    const p = [x - rigid[12], y - rigid[13], z - rigid[14]];
    // The inverse of a turn is its transpose.
    const scan = [0, 1, 2].map(
      (k) => rigid[4 * k] * p[0] + rigid[4 * k + 1] * p[1] + rigid[4 * k + 2] * p[2],
    );
    return [0, 1, 2].map(
      (k) => toFrame[k] * scan[0] + toFrame[4 + k] * scan[1] + toFrame[8 + k] * scan[2] + toFrame[12 + k],
    );
  };
}

/** Height in the exact frame of the point of the length axis that the traced frame has at y; both in mm. */
function truthHeight(model: Model, truth: AxisTruth, y: number): number {
  const { rigid: r } = model.frame;
  const d = [-r[12], y - r[13], -r[14]];
  const inScan = [0, 1, 2].map((k) => r[4 * k] * d[0] + r[4 * k + 1] * d[1] + r[4 * k + 2] * d[2]);
  const m = truth.toFrame;
  return m[1] * inScan[0] + m[5] * inScan[1] + m[9] * inScan[2] + m[13];
}

/** Each true hump may be matched by one found hump of its face whose peak lies within the hump's own radius. */
function compareHumps(
  result: MeasureResult,
  truth: AxisTruth,
  add: (quantity: Quantity, error: number, limit: number, where?: string) => void,
): HumpCounts {
  const free = new Set(result.humps);
  let matched = 0;
  for (const hump of truth.humps) {
    const near = [...free]
      .filter((f) => f.face === hump.face)
      .map((f) => ({ f, d: Math.hypot(f.peak[0] - hump.x, f.peak[1] - hump.y) }))
      .sort((a, b) => a.d - b.d)[0];
    if (near === undefined || near.d > hump.radius) continue;
    free.delete(near.f);
    matched++;
    const where = `face ${hump.face} at (${hump.x.toFixed(0)}, ${hump.y.toFixed(0)})`;
    add('humpHeight', (100 * (near.f.height - hump.prominence)) / hump.prominence, 15, where);
    add('humpPlace', near.d, 2, where);
  }
  return { truth: truth.humps.length, found: result.humps.length, matched };
}
