import type { Peak } from '../geometry/fieldPeak.ts';
import type { Model, ScanQuality } from '../trace/types.ts';
import { heightError, sharedError } from './faceError.ts';
import { areaComponents, betweenPlaces } from './outlineError.ts';
import { planeTilt } from './planeTilt.ts';
import { cutAtStation, SECTION_STATIONS } from './sectionCuts.ts';
import type { Shared } from './shared.ts';
import { profileBow } from './thicknessBow.ts';
import {
  boxThickness,
  crestCut,
  placeOf,
  sampleField,
  type ThicknessField,
  thicknessAt,
} from './thicknessField.ts';
import type { Components, Family, MeasureRow, MeasureUnit, Series, Value } from './types.ts';
import { none, ratio } from './values.ts';

const row = (
  id: string,
  name: string,
  unit: MeasureUnit,
  power: MeasureRow['power'],
  axis: boolean,
  definition: string,
  source = 'practice',
): MeasureRow => ({ id, name, unit, definition, source, needs: 'faces', axis, power });

const ROWS: readonly MeasureRow[] = [
  row(
    'thickness',
    'Thickness',
    'mm',
    1,
    false,
    'Greatest distance between the two faces along one vertical to the margin plane.',
  ),
  row(
    'thickness.station',
    'Station of greatest thickness',
    'percent',
    0,
    true,
    'Where the greatest thickness lies, percent of length from the base.',
  ),
  row(
    'thickness.offset',
    'Offset of greatest thickness',
    'mm',
    1,
    true,
    'Distance of the place of greatest thickness from the length axis, + to the right.',
  ),
  row(
    'thickness.box',
    'Thickness between jaws',
    'mm',
    1,
    false,
    'Whole extent square to the margin plane: what a caliper jaw closes on.',
  ),
  row('thickness.mean', 'Mean thickness', 'mm', 1, false, 'Volume over plan area.', 'own definition'),
  ...SECTION_STATIONS.map((station) =>
    row(
      `thickness.at.${station}`,
      `Thickness at ${station} %`,
      'mm',
      1,
      true,
      `Greatest thickness across the section at ${station} % of the length from the base.`,
    ),
  ),
  row(
    'width.thickness',
    'Width / thickness',
    '1',
    0,
    true,
    'Greatest width over greatest thickness; thinner work has more.',
  ),
  row(
    'volume',
    'Volume',
    'mm3',
    3,
    false,
    'By the divergence theorem over the closed surface; holes of an open scan are bridged by membranes.',
  ),
  row('surface', 'Surface', 'mm2', 2, false, 'Area of the whole surface at the resolution of the scan.'),
  row(
    'bow.profile',
    'Profile bow',
    'mm',
    1,
    true,
    'Greatest distance of the mid-surface line (middle between the two faces along the midline, from margin to margin) from its chord: the curve that a flake blank leaves.',
    'own definition',
  ),
];

export const thickness: Family = {
  id: 'thickness',
  title: 'Thickness and volume',
  rows: ROWS,
  compute(model, _settings, shared) {
    const { body, plan, thicknessField: field } = shared;
    const { peak } = shared.cuts;
    const values: Record<string, Value> = {};
    if (peak === undefined) {
      for (const { id } of ROWS) values[id] = none('nowhere do both faces lie over each other');
      return { values };
    }
    const place = placeOf(peak, field.map);
    const loose = field.map.cell / Math.sqrt(3) + 2 * model.quality.meanEdge;
    const many = asThick(model, peak, field);
    const between = betweenFaces(model, peak, field);
    values.thickness = {
      value: peak.value,
      components: { ...between, noise: Math.hypot(between.noise ?? 0, many.pull) },
    };
    values['thickness.station'] = {
      value: Math.min(100, Math.max(0, (100 * place.y) / model.length)),
      components: { resolution: (100 * loose) / model.length, ...placed((100 * many.along) / model.length) },
    };
    values['thickness.offset'] = {
      value: place.x,
      components: { resolution: loose, ...placed(many.across) },
    };
    values['thickness.box'] = betweenJaws(model, field);
    values.volume = body.volume;
    values.surface = body.surface;
    const around = 2 * (model.length + plan.greatest.right - plan.greatest.left);
    const area: Value = { value: plan.area, components: areaComponents(model, around) };
    values['thickness.mean'] = ratio(body.volume, area);
    for (const station of SECTION_STATIONS) {
      values[`thickness.at.${station}`] = thicknessAtStation(model, shared, station);
    }
    const { left, right, y } = plan.greatest;
    const width: Value = { value: right - left, components: betweenPlaces(model, [left, y], [right, y]) };
    values['width.thickness'] = ratio(width, values.thickness);
    values['bow.profile'] = profileBow(model, field);
    return {
      values,
      series: { thickness: thicknessSeries(model, field, shared) },
      warnings: body.open
        ? [
            {
              code: 'open-surface',
              text: 'The scan has holes: volume and surface include what was bridged over them, and thickness there is only that of what was scanned.',
            },
          ]
        : [],
    };
  },
};

/** What noise that neighbours share makes of the greatest of many places that are about as thick, mm. */
interface AsThick {
  /** The highest of so many stands above the mean of them by about this much. */
  readonly pull: number;
  /** Standard deviation of their places along and across. */
  readonly along: number;
  readonly across: number;
}

/** Places thinner by more standard deviations than this are not the thickest but for noise. */
const AS_THICK = 3;

function asThick({ quality: { alike } }: Model, peak: Peak, { map, thickness }: ThicknessField): AsThick {
  if (alike === undefined) return { pull: 0, along: 0, across: 0 };
  const sigma = Math.SQRT2 * alike.sigma;
  const { values, columns } = thickness.grid;
  let [count, x, y, xx, yy] = [0, 0, 0, 0, 0];
  for (let k = 0; k < values.length; k++) {
    if (!(values[k] > peak.value - AS_THICK * sigma)) continue;
    const dx = (k % columns) - peak.column;
    const dy = Math.floor(k / columns) - peak.row;
    count++;
    x += dx;
    y += dy;
    xx += dx * dx;
    yy += dy * dy;
  }
  const stretches = Math.max(1, (count * map.cell ** 2) / alike.reach ** 2);
  const spread = (sum: number, squares: number): number =>
    count === 0 ? 0 : map.cell * Math.sqrt(Math.max(0, squares / count - (sum / count) ** 2));
  // The highest of n normal ones stands √(2·ln n) standard deviations above their mean, as n grows.
  return { pull: sigma * Math.sqrt(2 * Math.log(stretches)), along: spread(y, yy), across: spread(x, xx) };
}

function placed(error: number): Components {
  return error > 0 ? { noise: error } : {};
}

function betweenJaws(model: Model, field: ThicknessField): Value {
  const box = boxThickness(field, model);
  if (box === undefined) return none('no face was scanned');
  const { value, error, cut, margins, apart } = box;
  // On a plane that tilts, an end of the piece rises over the other.
  const tilt = planeTilt(model);
  const orientation = Math.hypot(tilt.roll * apart[0], tilt.pitch * apart[1]);
  return {
    value,
    components: {
      noise: Math.hypot(error, Math.SQRT2 * sharedError(model.quality)),
      resolution: Math.hypot(cut, thinned(model.quality)),
      tracing: Math.sqrt(margins) * heightError(model.quality),
      ...(orientation > 0 && { orientation }),
    },
  };
}

/** Error of a greatest height between the faces: what noise left, what triangles cut off their crests, and thinning. mm. */
export function betweenFaces(model: Model, peak: Peak, { thickness }: ThicknessField): Components {
  return {
    noise: Math.hypot(peak.error, Math.SQRT2 * sharedError(model.quality)),
    resolution: Math.hypot(crestCut(thickness, peak, model), thinned(model.quality)),
  };
}

function thinned({ thinning = 0 }: ScanQuality): number {
  return Math.SQRT2 * thinning;
}

/** Greatest thickness at a station (percent). */
export function thicknessAtStation(model: Model, shared: Shared, station: number): Value {
  const at = cutAtStation(shared.cuts, station)?.thickness;
  if (at === undefined) return none('the scan has no two faces at this station');
  return thicknessAcross(model, shared, at, (station / 100) * model.length);
}

/** Greatest thickness `at` across a section at height y, with its components. */
export function thicknessAcross(model: Model, shared: Shared, at: Peak, y: number): Value {
  const field = shared.thicknessField;
  // A station is as sure as the ends of the piece that it is counted from: where thickness falls steeply that tells.
  const shift = shared.plan.lengthError.at(y / model.length);
  const step = Math.max(field.map.cell, model.length / 200);
  const below = thicknessAt(field, y - step)?.value ?? at.value;
  const above = thicknessAt(field, y + step)?.value ?? at.value;
  return {
    value: at.value,
    components: {
      ...betweenFaces(model, at, field),
      tracing: (shift * Math.abs(above - below)) / (2 * step),
    },
  };
}

/** Along the stations of the midline: greatest thickness, thickness on the midline, width over thickness, section area. */
function thicknessSeries(model: Model, field: ThicknessField, shared: Shared): Series {
  const { midline } = model;
  const n = midline.y.length;
  const greatest = new Float64Array(n).fill(Number.NaN);
  const onMidline = new Float64Array(n).fill(Number.NaN);
  const widthThickness = new Float64Array(n).fill(Number.NaN);
  for (let k = 0; k < n; k++) {
    const at = thicknessAt(field, midline.y[k]);
    const here = sampleField(field.thickness, field.map, midline.x[k], midline.y[k]);
    if (!Number.isNaN(here)) onMidline[k] = here;
    if (at === undefined || !(at.value > 0)) continue;
    greatest[k] = at.value;
    widthThickness[k] = (midline.rightX[k] - midline.leftX[k]) / at.value;
  }
  const area = shared.sectionAreas ?? new Float64Array(n).fill(Number.NaN);
  return { station: midline.station, greatest, midline: onMidline, widthThickness, area };
}
