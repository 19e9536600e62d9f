import {
  fitHeightLine,
  type HeightLine,
  type HeightRun,
  heightsAbove,
  meanSquare,
  signChanges,
} from '../geometry/lineAgainst.ts';
import type { MarginLine, Model, PointErrors, ScanQuality } from '../trace/types.ts';
import { SIDES } from '../trace/types.ts';
import { meanOffset } from './edgeOffset.ts';
import { ERROR_LENGTH, errorsAlong, sinuosityOf } from './edgeSinuosity.ts';
import { heightRun, type Stretch, sideStretches } from './marginRuns.ts';
import { pointError } from './outlineError.ts';
import type { Family, MeasureRow, MeasureSettings, Series, Value } from './types.ts';

const EDGES = ['left', 'right'] as const;
export type Edge = (typeof EDGES)[number];

/** Heights err this many times as far as a point does in plan, and how a side is cut at its stations is worth this share of wander (on generated pieces). */
const OF_A_POINT = 0.7;
const CUT = 0.00029;
/** A side shorter than this (mm in plan) says nothing of its own straightness. */
const LEAST_SIDE = 5;
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
    const left = errorsAlong(model.margin, model.outline);
    for (const edge of EDGES) {
      const measured = measureSide(model.margin, edge, model.quality, settings, left);
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

/** @param left what each point of the margin may be off by; without it every point has the noise of a typical one */
export function measureSide(
  margin: MarginLine,
  edge: Edge,
  quality: ScanQuality,
  settings: MeasureSettings,
  left?: PointErrors,
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
  // Where two faces meet at no more than a right angle, what moves the margin in height moves it at least as much in plan.
  const { noise, resolution } = pointError(quality);
  const error = Math.hypot(noise, resolution);
  const around = quality.unscanned?.around ?? 0;
  const brinks = left && wallBrinks(margin, left.wall).map((at) => residualsAt(at, stretches));
  return {
    values: {
      wander: besideWalls(wanderOf(residuals, runs, length, error), brinks, (at, own) =>
        Math.sqrt(meanSquare(at, own)),
      ),
      range: besideWalls(rangeOf(residuals, error), brinks, extentOf),
      sinuosity: sinuosityOf(margin, stretches, settings.sinuosityScale, quality, left),
      turns: turnsOf(
        residuals,
        length,
        settings.turnBand,
        error,
        Math.hypot(Math.SQRT2 * stretches.length * error, around),
      ),
    },
    line,
    stretches,
  };
}

function wanderOf(
  residuals: readonly Float64Array[],
  runs: readonly HeightRun[],
  length: number,
  ofPoints: number,
): Value {
  const value = Math.sqrt(meanSquare(residuals, runs));
  const error = OF_A_POINT * ofPoints;
  // Errors add to the mean square (a rectangular error) and make it vary.
  const inflation = Math.hypot(value, error) - value;
  const random = error / Math.sqrt(Math.max(1, length / ERROR_LENGTH));
  // Chords twice as long miss four times as much of a wave: a third of what they lack more is what these lack. They are laid
  // from either end: the margin is the same, whichever way it runs.
  const ahead = Math.sqrt(meanSquare(residuals.map(alternate), runs.map(everyOther)));
  const back = Math.sqrt(
    meanSquare(
      residuals.map((of) => alternate(of.toReversed())),
      runs.map((run) => everyOther(reversedRun(run))),
    ),
  );
  const lack = (value - (ahead + back) / 2) / 3;
  return {
    value: value + lack,
    components: {
      tracing: Math.hypot(inflation / Math.sqrt(3), random),
      resolution: Math.hypot(Math.abs(lack) / Math.sqrt(3), CUT * value),
    },
  };
}

function others(values: Float64Array): Float64Array {
  return values.filter((_, i) => i % 2 === 1);
}

/** Every other value, and the last. */
function alternate(values: Float64Array): Float64Array {
  return values.filter((_, i) => i % 2 === 0 || i === values.length - 1);
}

function reversedRun({ y, z, weight }: HeightRun): HeightRun {
  return { y: y.toReversed(), z: z.toReversed(), weight: weight.toReversed() };
}

function everyOther({ y, z, weight }: HeightRun): HeightRun {
  const merged = new Float64Array(Math.ceil(weight.length / 2));
  weight.forEach((w, i) => {
    merged[i >> 1] += w;
  });
  return { y: alternate(y), z: alternate(z), weight: merged };
}

function rangeOf(residuals: readonly Float64Array[], error: number): Value {
  const value = extentOf(residuals);
  // Peaks and troughs are cusps as often as not, of which points twice as far apart miss twice as much.
  const lack = value - (extentOf(residuals.map(alternate)) + extentOf(residuals.map(others))) / 2;
  return { value, components: { tracing: Math.SQRT2 * error, resolution: lack } };
}

function extentOf(residuals: readonly Float64Array[]): number {
  let low = Infinity;
  let high = -Infinity;
  for (const values of residuals) {
    for (const r of values) {
      low = Math.min(low, r);
      high = Math.max(high, r);
    }
  }
  return Math.max(0, high - low);
}

/** A margin about its own line. */
interface Residuals {
  readonly residuals: readonly Float64Array[];
  readonly runs: readonly HeightRun[];
}

/**
 * The margin with its walls drawn higher and lower than half-way up, each by the standard deviation of a height that may
 * lie anywhere on them. None where there are no walls.
 */
function wallBrinks(margin: MarginLine, wall: Float64Array): MarginLine[] {
  if (wall.every((half) => half === 0)) return [];
  return [1, -1].map((way) => ({
    ...margin,
    points: margin.points.map((c, i) => (i % 3 === 2 ? c + (way * wall[(i - 2) / 3]) / Math.sqrt(3) : c)),
  }));
}

function residualsAt(margin: MarginLine, stretches: readonly Stretch[]): Residuals {
  const runs = stretches.map((stretch) => heightRun(margin, stretch));
  const line = fitHeightLine(runs);
  return { residuals: line === null ? [] : runs.map((run) => heightsAbove(run, line)), runs };
}

/** A value with what it would be at the brinks of walls counted as error of tracing. */
function besideWalls(
  value: Value,
  brinks: readonly Residuals[] = [],
  of: (residuals: readonly Float64Array[], runs: readonly HeightRun[]) => number,
): Value {
  if (typeof value.value !== 'number' || brinks.length === 0) return value;
  const here = value.value;
  const squares = brinks.map(({ residuals, runs }) => (of(residuals, runs) - here) ** 2);
  const walls = Math.sqrt(squares.reduce((a, b) => a + b, 0) / squares.length);
  const { tracing = 0, ...others } = value.components ?? {};
  return { ...value, components: { ...others, tracing: Math.hypot(tracing, walls) } };
}

/** @param longer by how much, as a standard uncertainty, the way along the margin may be wrong, mm */
function turnsOf(
  residuals: readonly Float64Array[],
  length: number,
  band: number,
  error: number,
  longer: number,
): Value {
  const count = (dead: number): number => residuals.reduce((sum, r) => sum + signChanges(r, dead), 0);
  const perCentimetre = 10 / length;
  // Counted again with the band narrower and wider by the error of a height: the halved difference is a rectangular error.
  const spread = count(Math.max(0, band - error)) - count(band + error);
  return {
    value: count(band) * perCentimetre,
    components: {
      tracing: (Math.abs(spread) / 2 / Math.sqrt(3)) * perCentimetre,
      // As many turns over a way that is longer or shorter.
      resolution: (count(band) * perCentimetre * longer) / length,
    },
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
