import { sliceAreas } from '../geometry/slices.ts';
import type { Model } from '../trace/types.ts';
import type { Shared } from './shared.ts';
import {
  boxThickness,
  greatestThickness,
  placeOf,
  sampleMap,
  type ThicknessField,
  thicknessAt,
  thicknessField,
} from './thicknessField.ts';
import type { Components, Family, MeasureRow, MeasureUnit, Series, Value } from './types.ts';
import { none, ratio } from './values.ts';

/** Stations (percent) at which the thickness is given. */
export const THICKNESS_STATIONS = [10, 20, 30, 40, 50, 60, 70, 80, 90] as const;
/** The profile bow is taken between these stations. */
const BOW_FROM = 5;
const BOW_TO = 95;
/** A face is known to this share of an edge where it curves: a rectangular error. */
const EDGE_SHARE = 0.05;

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
  ...THICKNESS_STATIONS.map((station) =>
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
    'Greatest distance of the mid-surface (mean of the two faces along the midline) from its chord between stations 5 and 95: the curve that a flake blank leaves.',
    'own definition',
  ),
];

export const thickness: Family = {
  id: 'thickness',
  title: 'Thickness and volume',
  rows: ROWS,
  compute(model, _settings, shared) {
    const field = thicknessField(model, shared.thicknessMap);
    const { body, plan } = shared;
    const values: Record<string, Value> = {};
    const peak = greatestThickness(field);
    if (peak === undefined) {
      for (const { id } of ROWS) values[id] = none('the faces cover no cell of the thickness map');
      return { values };
    }
    const place = placeOf(peak, field.map);
    const loose = field.map.cell / Math.sqrt(3) + 2 * model.quality.meanEdge;
    values.thickness = { value: peak.value, components: heightError(model, peak.error) };
    values['thickness.station'] = {
      value: Math.min(100, Math.max(0, (100 * place.y) / model.length)),
      components: { resolution: (100 * loose) / model.length },
    };
    values['thickness.offset'] = { value: place.x, components: { resolution: loose } };
    const box = boxThickness(field, model.quality.meanEdge);
    values['thickness.box'] =
      box === undefined ? none('no face') : { value: box.value, components: heightError(model, box.error) };
    values.volume = body.volume;
    values.surface = body.surface;
    values['thickness.mean'] = ratio(body.volume, { value: plan.area });
    for (const station of THICKNESS_STATIONS) {
      const at = thicknessAt(field, (station / 100) * model.length);
      values[`thickness.at.${station}`] =
        at === undefined
          ? none('the scan has no two faces at this station')
          : { value: at.value, components: heightError(model, at.error) };
    }
    const width = plan.greatest.right - plan.greatest.left;
    values['width.thickness'] = ratio({ value: width }, values.thickness);
    values['bow.profile'] = profileBow(model, field);
    return {
      values,
      series: { thickness: thicknessSeries(model, field, shared) },
      warnings: body.open
        ? [
            {
              code: 'open-surface',
              text: 'The scan has holes: volume and surface include what was bridged over them.',
            },
          ]
        : [],
    };
  },
};

/** Error of a height difference between the faces: what noise left, and how flat triangles run. mm. */
function heightError({ quality }: Model, noise: number): Components {
  return { noise, resolution: (EDGE_SHARE * quality.meanEdge) / Math.sqrt(3) };
}

function profileBow(model: Model, field: ThicknessField): Value {
  const { midline, quality } = model;
  const { map } = field;
  const y: number[] = [];
  const z: number[] = [];
  for (let k = 0; k < midline.x.length; k++) {
    if (midline.station[k] < BOW_FROM || midline.station[k] > BOW_TO) continue;
    const a = sampleMap(map.faceA, map, midline.x[k], midline.y[k]);
    const b = sampleMap(map.faceB, map, midline.x[k], midline.y[k]);
    if (Number.isNaN(a + b)) continue;
    y.push(midline.y[k]);
    z.push((a + b) / 2);
  }
  if (y.length < 10) return none('the faces do not both reach along the midline');
  const last = y.length - 1;
  const slope = (z[last] - z[0]) / (y[last] - y[0]);
  const tilt = Math.hypot(1, slope);
  let most = 0;
  for (let k = 0; k <= last; k++) most = Math.max(most, Math.abs(z[k] - z[0] - slope * (y[k] - y[0])) / tilt);
  return { value: most, components: heightError(model, quality.noise) };
}

/** Along the stations of the midline: greatest thickness, thickness on the midline, width over thickness, section area. */
function thicknessSeries(model: Model, field: ThicknessField, shared: Shared): Series {
  const { midline, surface } = model;
  const n = midline.y.length;
  const greatest = new Float64Array(n).fill(Number.NaN);
  const onMidline = new Float64Array(n).fill(Number.NaN);
  const widthThickness = new Float64Array(n).fill(Number.NaN);
  for (let k = 0; k < n; k++) {
    const at = thicknessAt(field, midline.y[k]);
    const here = sampleMap(field.thickness.values, field.map, midline.x[k], midline.y[k]);
    if (!Number.isNaN(here)) onMidline[k] = here;
    if (at === undefined || !(at.value > 0)) continue;
    greatest[k] = at.value;
    widthThickness[k] = (midline.rightX[k] - midline.leftX[k]) / at.value;
  }
  const area =
    surface?.closed === true && !shared.body.open
      ? sliceAreas(surface.mesh, midline.y, 1)
      : new Float64Array(n).fill(Number.NaN);
  return { station: midline.station, greatest, midline: onMidline, widthThickness, area };
}
