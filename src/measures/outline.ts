import { planarCurve, resampleRing } from '../geometry/curvePlanar.ts';
import { farthestCorners } from '../geometry/farthestPair.ts';
import { feretDiameters } from '../geometry/feret.ts';
import { convexHull } from '../geometry/hull.ts';
import { polygonMoments } from '../geometry/polygonMoments.ts';
import { mostSamples, smoothClosed } from '../geometry/smoothing.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Model } from '../trace/types.ts';
import { sharedLengthening } from './faceError.ts';
import { breakReaches } from './outlineBreaks.ts';
import { baseShape, tipAngle, tipRadius } from './outlineEnds.ts';
import {
  areaComponents,
  betweenPlaces,
  endError,
  missedBeyond,
  noiseAt,
  outlineComponents,
  pointError,
} from './outlineError.ts';
import { chordAtStation, type Plan } from './outlinePlan.ts';
import { shiftError } from './shiftError.ts';
import type { Components, Family, MeasureRow, MeasureSettings, Value } from './types.ts';
import { none, ratio, relative } from './values.ts';

/** Stations (percent of length from the base) at which the width is given. */
export const WIDTH_STATIONS = [10, 20, 25, 30, 40, 50, 60, 70, 75, 80, 90] as const;
/** So many standard deviations of noise that neighbours share a hull lies outside of the outline, between its waves. */
const HULL_LEAN = 0.7;
/** The outline is resampled this many times per smoothing scale before its length is taken. */
const SAMPLES_PER_SCALE = 10;

const row = (
  id: string,
  name: string,
  unit: MeasureRow['unit'],
  axis: boolean,
  power: MeasureRow['power'],
  definition: string,
  source = 'practice',
): MeasureRow => ({ id, name, unit, definition, source, needs: 'outline', axis, power });

const ROWS: readonly MeasureRow[] = [
  row('length', 'Length', 'mm', true, 1, 'Extent of the outline along the length axis.'),
  row(
    'width',
    'Width',
    'mm',
    true,
    1,
    'Greatest width between the outermost margins at one station, square to the length axis.',
  ),
  row(
    'width.station',
    'Station of greatest width',
    'percent',
    true,
    0,
    'Where the greatest width lies, percent of length from the base.',
  ),
  ...WIDTH_STATIONS.map((station) =>
    row(
      `width.at.${station}`,
      `Width at ${station} %`,
      'mm',
      true,
      1,
      `Width between the outermost margins at ${station} % of the length from the base.`,
    ),
  ),
  row(
    'feret.max',
    'Greatest caliper diameter',
    'mm',
    false,
    1,
    'Greatest distance between two parallel lines that touch the outline from either side.',
    'ISO 9276-6',
  ),
  row(
    'feret.min',
    'Least caliper diameter',
    'mm',
    false,
    1,
    'Least distance between two parallel lines that touch the outline from either side.',
    'ISO 9276-6',
  ),
  row(
    'area',
    'Plan area',
    'mm2',
    false,
    2,
    'Area of the outline’s polygon, less any holes through the piece.',
  ),
  row(
    'perimeter',
    'Perimeter',
    'mm',
    false,
    1,
    'Length of the outline after smoothing at the perimeter scale (0.5 mm unless set otherwise). The smoothing is a flat-topped Gaussian of σ = half the scale over arc length, which passes 5 % of waves as long as the scale and 90 % of waves three times as long. Without a scale a perimeter has no meaning.',
    'own definition',
  ),
  row(
    'circularity',
    'Circularity',
    '1',
    false,
    0,
    '2·√(π·area)/perimeter, holes through the piece counted in; 1 for a circle.',
    'ISO 9276-6',
  ),
  row('solidity', 'Solidity', '1', false, 0, 'Area over the area of the convex hull.', 'ISO 9276-6'),
  row('elongation', 'Elongation', '1', true, 0, 'Length / width.'),
  row(
    'tip.angle',
    'Tip angle',
    'deg',
    true,
    0,
    'Angle between the total-least-squares lines through the left and the right margin from 2 % to 15 % of the length below the tip; negative where they part towards the tip.',
    'own definition',
  ),
  row(
    'tip.radius',
    'Tip radius',
    'mm',
    true,
    1,
    'Radius of the circle of least squared distance to the margin within 2 % of the length below the tip.',
    'own definition',
  ),
  row(
    'base.shape',
    'Base shape',
    '1',
    true,
    0,
    'Sagitta of the base over its chord between the margins at station 5, divided by that chord; the base is taken as the parabola fitted to it by least squares. Positive convex, 0 straight, negative concave.',
    'own definition',
  ),
];

export const outline: Family = {
  id: 'outline',
  title: 'Outline',
  rows: ROWS,
  compute(model, settings, shared) {
    const { plan } = shared;
    return {
      values: {
        ...extents(model, settings, plan),
        ...wholeShape(model, settings, plan),
        ...ends(model, settings, plan),
      },
    };
  },
  // Calipers, area and perimeter know no axis.
  alongAxis(model, settings, { plan }) {
    return { ...extents(model, settings, plan), ...ends(model, settings, plan) };
  },
};

function extents(model: Model, settings: MeasureSettings, plan: Plan): Record<string, Value> {
  const length = lengthValue(model, settings, plan);
  const width = greatestWidth(model, plan);
  const values: Record<string, Value> = {
    length,
    width,
    'width.station': {
      value: (100 * plan.greatest.y) / model.length,
      components: { tracing: (100 * placeError(model, plan)) / model.length },
    },
    elongation: ratio(length, width),
  };
  for (const station of WIDTH_STATIONS) {
    values[`width.at.${station}`] = widthValue(model, plan, (station / 100) * model.length);
  }
  return values;
}

/**
 * The greatest width. It ends where the outline bends most, often at corners, of which a picture's readings are less sure
 * than of straight stretches; a scan's outline tells that of its points by itself.
 */
export function greatestWidth(model: Model, { greatest: { left, right, y } }: Plan): Value {
  const value = right - left;
  if (model.outline.left !== undefined) {
    const { noise = 0, resolution = 0 } = betweenPlaces(model, [left, y], [right, y]);
    const missed = Math.hypot(missedBeyond(model, left, y, [-1, 0]), missedBeyond(model, right, y, [1, 0]));
    return { value, components: { noise, resolution: Math.hypot(resolution, missed) } };
  }
  const a = endError(model, left, y, [-1, 0]);
  const b = endError(model, right, y, [1, 0]);
  const components = {
    noise: Math.hypot(a.noise, b.noise),
    resolution: Math.hypot(a.resolution, b.resolution),
  };
  return { value, components };
}

/**
 * Width at a height, as sure as its two margins and as the height itself. Errors are square to a margin: where it runs aslant
 * or steps, what moves it along y moves it across too.
 */
export function widthValue(model: Model, plan: Plan, y: number): Value {
  const { length, quality } = model;
  const chord = (at: number) => chordAtStation(plan, length, (100 * at) / length);
  const width = (shift: number): number => {
    const { left, right } = chord(y + shift);
    return right - left;
  };
  const here = chord(y);
  const { resolution } = pointError(quality);
  const across = (side: 'left' | 'right', error: number): number =>
    Math.hypot(
      error,
      shiftError((shift) => chord(y + shift)[side], error),
    );
  const noise = (side: 'left' | 'right'): number => across(side, noiseAt(model, here[side], y));
  return {
    value: width(0),
    components: {
      noise: Math.hypot(noise('left'), noise('right')),
      resolution: Math.hypot(across('left', resolution), across('right', resolution)),
      tracing: shiftError(width, plan.lengthError.at(y / length)),
    },
  };
}

/** A break that reaches the tip or the base leaves a least length. */
export function lengthValue(model: Model, settings: MeasureSettings, plan: Plan): Value {
  const { components } = plan.lengthError;
  const cut = breakReaches(model, settings, 'tip') || breakReaches(model, settings, 'base');
  return { value: model.length, components, ...(cut ? { minimum: true as const } : {}) };
}

/** Steps along the length in which a width near the greatest is looked for. */
const PLACES = 1000;

/**
 * Standard uncertainty of the place of the greatest width along the length, mm: half the spread of places whose width is
 * within the error of the greatest (rectangular), the error of a corner at which the greatest width ends, and that of
 * the ends of the outline that it is counted from.
 */
export function placeError(model: Model, plan: Plan): number {
  const { length, quality } = model;
  const { greatest } = plan;
  const error = pointError(quality);
  const most = greatest.right - greatest.left;
  // The greatest of several widths that err is the one whose error is greatest: both it and the others are in doubt.
  const band = 2 * Math.SQRT2 * Math.hypot(error.noise, error.resolution);
  if (band === 0) return 0;
  const stretch = stretchAsWide(plan, length, most - band);
  const corner = Math.max(
    ...([-1, 1] as const).map((side) => {
      const x = side < 0 ? greatest.left : greatest.right;
      const { noise, resolution } = endError(model, x, greatest.y, [side, 0]);
      return Math.hypot(noise, resolution);
    }),
  );
  return Math.hypot(stretch / 2 / Math.sqrt(3), corner, plan.lengthError.at(greatest.y / length));
}

/** From the first place to the last at which the plan is so wide, that of its greatest width among them, mm. */
function stretchAsWide(plan: Plan, length: number, least: number): number {
  let low = plan.greatest.y;
  let high = low;
  for (let k = 0; k <= PLACES; k++) {
    const { y, left, right } = chordAtStation(plan, length, (100 * k) / PLACES);
    if (right - left < least) continue;
    low = Math.min(low, y);
    high = Math.max(high, y);
  }
  return high - low;
}

function wholeShape(model: Model, settings: MeasureSettings, plan: Plan): Record<string, Value> {
  const { quality } = model;
  const ring = model.outline.outer;
  const hull = convexHull(ring);
  const { max, min } = feretDiameters(hull);
  const hullArea = polygonMoments([hull]).area;
  const around = perimeterOf(ring, settings.perimeterScale);
  const area: Value = { value: plan.area, components: areaComponents(model, around) };
  const perimeter: Value = { value: around, components: perimeterComponents(model, settings, around) };
  const circularity = (2 * Math.sqrt(Math.PI * plan.outerArea)) / around;
  const solidity = plan.area / hullArea;
  // A hull touches where noise leans out most; what neighbours share is not taken off the outline.
  const lean = (around * HULL_LEAN * (quality.alike?.sigma ?? 0)) / hullArea;
  return {
    'feret.max': { value: max, components: farthestError(model, hull) },
    // On both sides the outermost points are touched, so that both errors lean outward: they add.
    'feret.min': { value: min, components: outlineComponents(quality, 2) },
    area,
    perimeter,
    circularity: { value: circularity, components: relative(circularity, perimeter) },
    solidity: { value: solidity, components: withNoise(relative(solidity, area), lean) },
  };
}

/** What errors of the margins at both of its ends do to the greatest diameter. */
function farthestError(model: Model, hull: Points2): Components {
  const { ax, ay, bx, by } = farthestCorners(hull);
  const far = Math.hypot(bx - ax, by - ay);
  const [ux, uy] = far > 0 ? [(bx - ax) / far, (by - ay) / far] : [0, 0];
  const a = endError(model, ax, ay, [-ux, -uy]);
  const b = endError(model, bx, by, [ux, uy]);
  return { noise: Math.hypot(a.noise, b.noise), resolution: Math.hypot(a.resolution, b.resolution) };
}

/** Length of a ring smoothed at a scale, mm. */
function perimeterOf(ring: Float64Array, scale: number): number {
  const curve = planarCurve(ring);
  if (!(scale > 0)) return curve.length;
  const wanted = Math.ceil((SAMPLES_PER_SCALE * curve.length) / scale);
  const count = Math.max(16, Math.min(wanted, mostSamples(ring.length / 2)));
  const even = resampleRing(curve, count);
  return planarCurve(smoothClosed(even, 2, curve.length / count, scale)).length;
}

/** What noise is left lengthens a line by half its squared slope, always upwards: taken as a rectangular error. */
function perimeterComponents(model: Model, settings: MeasureSettings, around: number): Components {
  const { alike: _, ...single } = model.quality;
  const { noise, resolution } = pointError(single);
  const reach = Math.max(settings.perimeterScale, model.quality.meanEdge);
  const excess =
    (reach > 0 ? (around * (noise / reach) ** 2) / 2 : 0) + around * sharedLengthening(model.quality);
  return {
    noise: excess / Math.sqrt(3),
    resolution: Math.hypot(2 * Math.PI * resolution, model.quality.unscanned?.around ?? 0),
  };
}

function withNoise(components: Components, more: number): Components {
  return more > 0 ? { ...components, noise: Math.hypot(components.noise ?? 0, more) } : components;
}

function ends(model: Model, settings: MeasureSettings, plan: Plan): Record<string, Value> {
  const noTip = none('a marked break takes the tip away');
  const tipLost = breakReaches(model, settings, 'tip');
  const baseLost = breakReaches(model, settings, 'base');
  return {
    'tip.angle': tipLost ? noTip : tipAngle(model, plan),
    'tip.radius': tipLost ? noTip : tipRadius(model),
    'base.shape': baseLost ? none('a marked break takes the base away') : baseShape(model, plan),
  };
}
