import type { Warning } from '../geometry/types.ts';
import { type Model, type ScanQuality, SIDES } from '../trace/types.ts';
import { CALIPER_DEPTHS, type EdgeAngles, NO_ANGLE } from './edgeAngles.ts';
import { edgeRounding } from './edgeRounding.ts';
import { stripWidth } from './edgeSections.ts';
import { sharedError } from './faceError.ts';
import { rimAngle } from './rimAngle.ts';
import type { Shared } from './shared.ts';
import type { Components, Family, MeasureRow, Series, Value } from './types.ts';

const STATISTICS = ['mean', 'sd', 'median', 'min', 'max'] as const;
type Statistic = (typeof STATISTICS)[number];

const STATISTIC_NAMES: Readonly<Record<Statistic, string>> = {
  mean: 'mean',
  sd: 'standard deviation',
  median: 'median',
  min: 'least',
  max: 'greatest',
};

const PLACES = ['', ...SIDES] as const;
type Place = (typeof PLACES)[number];

const PLACE_NAMES: Readonly<Record<Place, string>> = {
  '': 'the whole margin',
  left: 'the left margin, stations 5–95',
  right: 'the right margin, stations 5–95',
  tip: 'the tip, above station 95',
  base: 'the base, below station 5',
};

const DEFINITION =
  'Angle between the two faces in the section square to the margin: a line of least squared distance is fitted to each face from 0.5 to 3 mm from the edge (at most 0.35 × the local half-width), at places 1 mm apart.';

/** Of the span over which faces are fitted, mm: from 0.5 to 3 mm from the edge where there is room. */
const FITTED = 2.5;
/** Warn where fewer than this share of the places have an angle. */
const FEW = 0.5;
/** Degrees above which a margin is no edge: edges of cobbles just roughed out stay below 110° (practice). */
const BLUNT = 125;

export const edgeAngle: Family = {
  id: 'edgeAngle',
  title: 'Edge angle',
  rows: [...PLACES.flatMap(statisticRows), ...CALIPER_DEPTHS.map(caliperRow)],
  compute(model, _settings, shared) {
    const angles = shared.edgeAngles;
    const values: Record<string, Value> = {};
    for (const place of PLACES) Object.assign(values, statistics(angles, place, model.quality));
    CALIPER_DEPTHS.forEach((depth, k) => {
      values[`edge.angle.caliper.${depth}`] = caliperMean(angles, k, model);
    });
    return {
      values,
      series: { edgeAngle: angleSeries(angles) },
      warnings: [...fewAngles(angles), ...edgeForm(values, angles, model, shared)],
    };
  },
};

function statisticId(place: Place, statistic: Statistic): string {
  return place === '' ? `edge.angle.${statistic}` : `edge.angle.${place}.${statistic}`;
}

function statisticRows(place: Place): MeasureRow[] {
  return STATISTICS.map((statistic) => ({
    id: statisticId(place, statistic),
    name: `Edge angle${place === '' ? '' : `, ${place}`}: ${STATISTIC_NAMES[statistic]}`,
    unit: 'deg',
    definition: `${capital(STATISTIC_NAMES[statistic])} over ${PLACE_NAMES[place]}. ${DEFINITION}`,
    source: 'own definition',
    needs: 'faces',
    axis: place !== '',
    power: 0,
  }));
}

function caliperRow(depth: number): MeasureRow {
  return {
    id: `edge.angle.caliper.${depth}`,
    name: `Caliper edge angle at ${depth} mm`,
    unit: 'deg',
    definition: `Mean over the margin of 2·atan(t / 2d), t the thickness square to the bisector of the edge at depth d = ${depth} mm along it; only where the piece is at least 2d wide.`,
    source: 'Dibble & Bernard 1980',
    needs: 'faces',
    axis: false,
    power: 0,
  };
}

/** The five statistics of one stretch of margin, each place counting the same. */
function statistics(angles: EdgeAngles, place: Place, quality: ScanQuality): Record<string, Value> {
  const { meanEdge } = quality;
  const at: number[] = [];
  for (let i = 0; i < angles.count; i++) {
    if ((place === '' || angles.side[i] === place) && angles.reason[i] === NO_ANGLE.valid) at.push(i);
  }
  const out: Record<string, Value> = {};
  if (at.length === 0) {
    const reason = `no place has an angle: ${commonReason(angles, place)}`;
    for (const statistic of STATISTICS) out[statisticId(place, statistic)] = { value: null, reason };
    return out;
  }
  at.sort((i, j) => angles.angle[i] - angles.angle[j]);
  const n = at.length;
  const sorted = at.map((i) => angles.angle[i]);
  const mean = average(sorted);
  const sd = n > 1 ? Math.sqrt(sorted.reduce((sum, a) => sum + (a - mean) ** 2, 0) / (n - 1)) : NaN;
  const noise = Math.sqrt(average(at.map((i) => angles.noise[i] ** 2)));
  // Triangles hide where exactly the edge lies, which shifts the fitted span: a rectangular error of one mean edge.
  const resolution = (Math.abs(average(at.map((i) => angles.gradient[i]))) * meanEdge) / Math.sqrt(12);
  const shared = sharedTurn(quality);
  const put = (statistic: Statistic, value: number, components: Components): void => {
    out[statisticId(place, statistic)] = Number.isNaN(value)
      ? { value: null, reason: 'only one place has an angle' }
      : { value, components };
  };
  const alone = independent(angles, n, meanEdge);
  const apart = independentTurns(angles, n, quality);
  const own = Math.hypot(noise / Math.sqrt(alone), shared / Math.sqrt(apart));
  put('mean', mean, { noise: own, resolution });
  // For nearly normal scatter a median varies √(π/2) times as much as a mean.
  put('median', middleOf(sorted), { noise: Math.sqrt(Math.PI / 2) * own, resolution });
  put('sd', sd, {
    noise: Math.hypot(spreadNoise(sd, noise, alone), spreadNoise(sd, shared, apart)),
  });
  put('min', sorted[0], { noise: Math.hypot(angles.noise[at[0]], shared), resolution });
  put('max', sorted[n - 1], { noise: Math.hypot(angles.noise[at[n - 1]], shared), resolution });
  return out;
}

/**
 * What noise that neighbours share turns an angle by, degrees: of a line over a span that holds a few of its stretches the
 * direction errs by √12·σ/span over the root of their number, and there are two faces.
 */
function sharedTurn({ alike }: ScanQuality): number {
  if (alike === undefined) return 0;
  const stretches = Math.max(1, FITTED / alike.reach);
  return ((180 / Math.PI) * Math.SQRT2 * Math.sqrt(12) * alike.sigma) / FITTED / Math.sqrt(stretches);
}

/** How many of `n` places such noise turns each by itself. */
function independentTurns({ arc }: EdgeAngles, n: number, { alike }: ScanQuality): number {
  const apart = arc.length > 1 ? arc[1] - arc[0] : Infinity;
  return alike === undefined ? n : Math.max(1, n * Math.min(1, apart / alike.reach));
}

/** How many of `n` places err each by itself: next ones share the vertices between them. */
function independent({ arc }: EdgeAngles, n: number, meanEdge: number): number {
  const apart = arc.length > 1 ? arc[1] - arc[0] : Infinity;
  return Math.max(1, n * Math.min(1, apart / stripWidth(meanEdge)));
}

/** Noise widens a standard deviation (taken as a rectangular error) and makes it vary. */
function spreadNoise(sd: number, noise: number, n: number): number {
  const widening = sd - Math.sqrt(Math.max(0, sd * sd - noise * noise));
  return Math.hypot(widening / Math.sqrt(3), noise / Math.sqrt(2 * n));
}

function caliperMean(angles: EdgeAngles, k: number, model: Model): Value {
  const depth = CALIPER_DEPTHS[k];
  const found = Array.from(angles.caliper[k]).filter((a) => !Number.isNaN(a));
  if (found.length === 0) {
    return { value: null, reason: `no place with an edge angle is ${2 * depth} mm wide` };
  }
  const value = average(found);
  const radians = (value * Math.PI) / 180;
  const { meanEdge, noise } = model.quality;
  const degrees = 180 / Math.PI;
  return {
    value,
    components: {
      // dα/dt = cos²(α/2)/d with t the difference of two noisy faces; dα/dd = −sin α/d with the edge known to a triangle.
      noise:
        ((degrees * Math.cos(radians / 2) ** 2 * Math.SQRT2) / depth) *
        Math.hypot(noise / Math.sqrt(found.length), sharedError(model.quality, found.length)),
      resolution: (degrees * Math.sin(radians) * meanEdge) / depth / Math.sqrt(12),
    },
  };
}

function angleSeries(angles: EdgeAngles): Series {
  const columns: Record<string, Series[string]> = {
    arc: angles.arc,
    side: [...angles.side],
    station: angles.station,
    x: angles.x,
    y: angles.y,
    z: angles.z,
    angle: angles.angle,
  };
  CALIPER_DEPTHS.forEach((depth, k) => {
    columns[`caliper${depth}`] = angles.caliper[k];
  });
  columns.valid = angles.reason.map((reason) => Number(reason === NO_ANGLE.valid));
  columns.reason = [...angles.reason];
  return columns;
}

function fewAngles(angles: EdgeAngles): Warning[] {
  const valid = angles.reason.filter((reason) => reason === NO_ANGLE.valid).length;
  if (valid >= FEW * angles.count) return [];
  return [
    {
      code: 'few-edge-angles',
      text: `Only ${valid} of ${angles.count} places on the margin have an edge angle; most often: ${commonReason(angles, '')}.`,
    },
  ];
}

/** What speaks against a margin that is a sharp edge: a rounded body has none, and a scan may have lost it. */
function edgeForm(
  values: Readonly<Record<string, Value>>,
  angles: EdgeAngles,
  model: Model,
  shared: Shared,
): Warning[] {
  const blunt = bluntMargin(values, model, shared);
  return blunt.length > 0 ? blunt : roundedEdge(angles);
}

function roundedEdge(angles: EdgeAngles): Warning[] {
  const gap = edgeRounding(angles);
  if (gap === 0) return [];
  return [
    {
      code: 'edge-rounded',
      text: `The edge is round in the scan: carried on from 0.5 mm inside, the faces would meet ${Number(gap.toPrecision(2))} mm outside of the traced margin (median). If the stone is sharp there, then smoothing or too coarse a scan has taken its edge off: length and width are too small by about that much at either end, and area and ratios accordingly; their uncertainties allow for it.`,
    },
  ];
}

/** A pebble has an outline but no edge: the number that shows it is its own edge angle. */
function bluntMargin(values: Readonly<Record<string, Value>>, model: Model, shared: Shared): Warning[] {
  // Where no place has a fitted angle, as on a round body, the rim itself tells.
  const median = values['edge.angle.median']?.value ?? rimAngle(model, shared);
  if (typeof median !== 'number' || median <= BLUNT) return [];
  return [
    {
      code: 'no-margin-found',
      text: `Half of the outline is blunter than ${Math.round(median)}°: it is the rim of a rounded body, not an edge where two faces meet. What rests on the margin says little here.`,
    },
  ];
}

/** Why most of the places without an angle have none. */
function commonReason(angles: EdgeAngles, place: Place): string {
  const counts = new Map<string, number>();
  for (let i = 0; i < angles.count; i++) {
    const reason = angles.reason[i];
    if ((place !== '' && angles.side[i] !== place) || reason === NO_ANGLE.valid) continue;
    counts.set(reason, (counts.get(reason) ?? 0) + 1);
  }
  const [most] = [...counts].sort((a, b) => b[1] - a[1]);
  return most?.[0] ?? 'the stretch is shorter than the spacing of places';
}

function average(values: readonly number[]): number {
  return values.reduce((sum, v) => sum + v, 0) / values.length;
}

function middleOf(sorted: readonly number[]): number {
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}

function capital(word: string): string {
  return word[0].toUpperCase() + word.slice(1);
}
