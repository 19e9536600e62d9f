import { resampleClosed } from '../geometry/closedCurve.ts';
import {
  fitHeightLine,
  type HeightLine,
  type HeightRun,
  heightsAbove,
  meanSquare,
  signChanges,
} from '../geometry/lineAgainst.ts';
import { mostSamples, smoothClosed } from '../geometry/smoothing.ts';
import type { MarginLine, Model, ScanQuality } from '../trace/types.ts';
import { SIDES } from '../trace/types.ts';
import { meanOffset } from './edgeOffset.ts';
import { heightError } from './faceError.ts';
import { heightRun, type Stretch, sideStretches } from './marginRuns.ts';
import type { Family, MeasureRow, MeasureSettings, Series, Value } from './types.ts';

const EDGES = ['left', 'right'] as const;
export type Edge = (typeof EDGES)[number];

/** A side shorter than this (mm in plan) says nothing of its own straightness. */
const LEAST_SIDE = 5;
/** The margin is resampled this many times per smoothing scale before it is smoothed. */
const SAMPLES_PER_SCALE = 10;
/** Over steps of that size the smoothing is this far, as a share, from one without steps. */
const FILTER_ERROR = 0.005;
/** A turn of the line along y is one from so many standard deviations of what noise is left in its points on. */
const JITTER = 3;
/** Neighbouring errors of a traced margin are alike over about this length, mm. */
const ERROR_LENGTH = 1;

const MEASURES = [
  {
    id: 'wander',
    name: 'Edge wander',
    unit: 'mm',
    power: 1,
    needs: 'margin',
    source: 'own definition',
    definition:
      'Root mean square of the height of the margin about its own least-squares line (height against y), every millimetre of margin in plan counting the same; stations 5–95.',
  },
  {
    id: 'range',
    name: 'Edge range',
    unit: 'mm',
    power: 1,
    needs: 'margin',
    source: 'own definition',
    definition: 'Peak to trough of the margin about its own least-squares line; stations 5–95.',
  },
  {
    id: 'sinuosity',
    name: 'Edge sinuosity',
    unit: '1',
    power: 0,
    needs: 'margin',
    source: 'practice',
    definition:
      'Length of the margin seen edge-on (y–z), its height smoothed at 1 mm, divided by the straight distance between its ends; 1 is straight; stations 5–95. The smoothing is a flat-topped Gaussian of σ = 0.5 mm, which passes 5 % of waves 1 mm long, 89 % at 3 mm and 99 % at 6 mm.',
  },
  {
    id: 'turns',
    name: 'Edge turns',
    unit: 'per_cm',
    power: 0,
    needs: 'margin',
    source: 'own definition',
    definition:
      'Sign changes of the margin’s height about its own line for each centimetre of margin in plan; a change counts once the height passes 0.1 mm on the other side; stations 5–95.',
  },
  {
    id: 'offset',
    name: 'Edge offset',
    unit: 'percent',
    power: 0,
    needs: 'faces',
    source: 'own definition',
    definition:
      'Mean height of the margin between the lowest and the highest point of the section at the same station: 50 is centred, 100 level with the top of Face A; stations 5–95.',
  },
] as const satisfies readonly (Omit<MeasureRow, 'axis'> & { readonly id: string })[];

export const edgeLine: Family = {
  id: 'edgeLine',
  title: 'Margin line',
  rows: MEASURES.flatMap((measure) =>
    EDGES.map((edge) => ({
      ...measure,
      id: `edge.${measure.id}.${edge}`,
      name: `${measure.name}, ${edge}`,
      axis: true,
    })),
  ),
  compute(model, settings, shared) {
    const values: Record<string, Value> = {};
    if (model.margin === undefined) return { values };
    const lines: Partial<Record<Edge, HeightLine>> = {};
    for (const edge of EDGES) {
      const measured = measureSide(model.margin, edge, model.quality, settings);
      for (const [id, value] of Object.entries(measured.values)) values[`edge.${id}.${edge}`] = value;
      if (measured.line !== null) lines[edge] = measured.line;
      if (model.surface !== undefined) {
        values[`edge.offset.${edge}`] = meanOffset(model, measured.stretches, shared.thicknessMap);
      }
    }
    return { values, series: { margin: marginSeries(model, model.margin, lines) } };
  },
};

interface SideMeasures {
  readonly values: Readonly<Record<'wander' | 'range' | 'sinuosity' | 'turns', Value>>;
  readonly line: HeightLine | null;
  readonly stretches: readonly Stretch[];
}

export function measureSide(
  margin: MarginLine,
  edge: Edge,
  quality: ScanQuality,
  settings: MeasureSettings,
): SideMeasures {
  const stretches = sideStretches(margin, edge, settings);
  const runs = stretches.map((stretch) => heightRun(margin, stretch));
  const length = runs.reduce((sum, run) => sum + run.weight.reduce((a, b) => a + b, 0), 0);
  const line = length < LEAST_SIDE ? null : fitHeightLine(runs);
  if (line === null) {
    const none: Value = { value: null, reason: `less than ${LEAST_SIDE} mm of this side is left to measure` };
    return { values: { wander: none, range: none, sinuosity: none, turns: none }, line, stretches };
  }
  const residuals = runs.map((run) => heightsAbove(run, line));
  const error = heightError(quality);
  return {
    values: {
      wander: wanderOf(residuals, runs, length, error, quality.meanEdge),
      range: rangeOf(residuals, error),
      sinuosity: sinuosityOf(margin, stretches, settings.sinuosityScale, quality),
      turns: turnsOf(residuals, length, settings.turnBand, error),
    },
    line,
    stretches,
  };
}

function wanderOf(
  residuals: readonly Float64Array[],
  runs: readonly HeightRun[],
  length: number,
  error: number,
  meanEdge: number,
): Value {
  const value = Math.sqrt(meanSquare(residuals, runs));
  // Errors add to the mean square (a rectangular error) and make it vary.
  const inflation = Math.hypot(value, error) - value;
  const random = error / Math.sqrt(Math.max(1, length / ERROR_LENGTH));
  // The ends of the side are known to a triangle: a little more or less of a line that stands as far off as it does there.
  const offs = residuals.flatMap((r) => [r[0], r[r.length - 1]]);
  const change = Math.hypot(...offs.map((off) => off * off - value * value));
  const ends = value > 0 ? (change / (2 * value * length)) * (meanEdge / Math.sqrt(12)) : 0;
  return { value, components: { tracing: Math.hypot(inflation / Math.sqrt(3), random), resolution: ends } };
}

function rangeOf(residuals: readonly Float64Array[], error: number): Value {
  let low = Infinity;
  let high = -Infinity;
  for (const r of residuals.flatMap((values) => Array.from(values))) {
    low = Math.min(low, r);
    high = Math.max(high, r);
  }
  return { value: high - low, components: { tracing: Math.SQRT2 * error } };
}

/**
 * Lengths of the stretches over the straight distances between their ends, both in y–z, with the height smoothed. The
 * plan is left as traced: smoothing it would cut off barbs and the corners of notches.
 */
function sinuosityOf(
  margin: MarginLine,
  stretches: readonly Stretch[],
  scale: number,
  quality: ScanQuality,
): Value {
  const wanted = Math.ceil((SAMPLES_PER_SCALE * margin.length) / scale);
  const count = Math.min(wanted, mostSamples(margin.arc.length));
  const step = margin.length / count;
  const points = resampleClosed(margin, count);
  const jitter = JITTER * (quality.line?.plan ?? 0);
  const y = withoutJitter(
    points.filter((_, i) => i % 3 === 1),
    jitter,
  );
  // Smoothed all the way round before it is cut, so that no stretch bends at its ends.
  const z = smoothClosed(
    points.filter((_, i) => i % 3 === 2),
    1,
    step,
    scale,
  );
  const distance = (i: number, j: number): number => Math.hypot(y[j] - y[i], z[j] - z[i]);
  // What noise is left lets two places a scale apart stand this much out of line with each other.
  const slip = (Math.SQRT2 * (quality.line?.height ?? quality.noise)) / Math.max(scale, ERROR_LENGTH);
  let way = 0;
  let excess = 0;
  let flat = 0;
  let straight = 0;
  let turns = 0;
  for (const { from, to } of stretches) {
    const first = Math.ceil(from / step);
    const last = Math.floor(to / step);
    for (let i = first; i < last; i++) {
      const here = distance(i, i + 1);
      way += here;
      // Always longer, most where the line runs square to the length.
      excess += Math.hypot(here, slip * step) - here;
      flat += Math.abs(y[i + 1] - y[i]);
    }
    straight += distance(first, last);
    turns += turnbacks(y.subarray(first, last + 1), Math.min(quality.meanEdge, jitter || Infinity));
  }
  if (!(straight > 0)) return { value: null, reason: 'the side has no extent seen edge-on' };
  // Where a barb or a notch turns the line back, its end is known to a triangle, there and back.
  const turned = (2 * Math.sqrt(turns) * quality.meanEdge) / Math.sqrt(12);
  // So are the two ends of the side: a little more or less of a line that winds as the rest of it does.
  // What the winding alone adds to the line, without its turns in plan.
  const excessWay = (way - flat) / straight;
  const ends = (Math.SQRT2 * quality.meanEdge * excessWay) / Math.sqrt(12);
  const resolution = Math.hypot(Math.hypot(turned, ends) / straight, FILTER_ERROR * excessWay);
  return { value: way / straight, components: { noise: excess / straight / Math.sqrt(3), resolution } };
}

/**
 * A closed sequence without runs to and fro that are smaller than `band`: between two turns that are not, it never runs
 * back. Where a margin runs square to the length, in a notch or under a barb, noise alone would lengthen it.
 */
function withoutJitter(values: Float64Array, band: number): Float64Array {
  const out = Float64Array.from(values);
  if (!(band > 0)) return out;
  const n = out.length;
  // Last turn known for certain, and the way the run since then goes.
  let [turn, sense] = [0, 0];
  const settle = (to: number): void => {
    for (let i = turn + 1; i < to; i++) {
      const before = out[i - 1];
      out[i] =
        sense > 0
          ? Math.min(values[to], Math.max(before, out[i]))
          : Math.max(values[to], Math.min(before, out[i]));
    }
  };
  let extreme = 0;
  for (let i = 1; i < n; i++) {
    if (sense === 0) {
      if (Math.abs(values[i] - values[turn]) > band)
        [sense, extreme] = [Math.sign(values[i] - values[turn]), i];
    } else if (sense * (values[i] - values[extreme]) > 0) extreme = i;
    else if (Math.abs(values[i] - values[extreme]) > band) {
      settle(extreme);
      [turn, extreme, sense] = [extreme, i, -sense];
    }
  }
  settle(extreme);
  return out;
}

/** How often a sequence turns from rising to falling or back, leaving out what is smaller than `band`. */
function turnbacks(values: Float64Array, band: number): number {
  let extreme = values[0];
  let sense = 0;
  let turns = 0;
  for (const v of values) {
    if (sense * (v - extreme) > 0) extreme = v;
    else if (Math.abs(v - extreme) > band) {
      if (sense !== 0) turns++;
      sense = Math.sign(v - extreme);
      extreme = v;
    }
  }
  return turns;
}

function turnsOf(residuals: readonly Float64Array[], length: number, band: number, error: number): Value {
  const count = (dead: number): number => residuals.reduce((sum, r) => sum + signChanges(r, dead), 0);
  const perCentimetre = 10 / length;
  // Counted again with the band narrower and wider by the error of a height: the halved difference is a rectangular error.
  const spread = count(Math.max(0, band - error)) - count(band + error);
  return {
    value: count(band) * perCentimetre,
    components: { tracing: (Math.abs(spread) / 2 / Math.sqrt(3)) * perCentimetre },
  };
}

/** The margin laid straight: height at each arc length, and above the line of its own side. */
export function marginSeries(
  model: Pick<Model, 'length'>,
  margin: MarginLine,
  lines: Partial<Record<Edge, HeightLine>>,
): Series {
  const n = margin.arc.length;
  const side = Array.from(margin.side, (label) => SIDES[label]);
  const station = new Float64Array(n);
  const z = new Float64Array(n);
  const residual = new Float64Array(n).fill(NaN);
  for (let i = 0; i < n; i++) {
    const y = margin.points[3 * i + 1];
    z[i] = margin.points[3 * i + 2];
    station[i] = (100 * y) / model.length;
    const line = side[i] === 'left' || side[i] === 'right' ? lines[side[i] as Edge] : undefined;
    if (line !== undefined) residual[i] = z[i] - line.level - line.slope * y;
  }
  return { arc: margin.arc, side, station, z, residual };
}
