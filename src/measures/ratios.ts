import type { Model } from '../trace/types.ts';
import { greatestWidth, lengthValue, placeError, widthValue } from './outline.ts';
import type { Shared } from './shared.ts';
import { betweenFaces, thicknessAtStation } from './thickness.ts';
import type { Components, Family, MeasureRow, MeasureSettings, MeasureUnit, Need, Value } from './types.ts';
import { none, ratio, relative } from './values.ts';

const ROE = 'Roe 1964, 1968';
const BORDES = 'Bordes 1961';

const row = (
  id: string,
  name: string,
  needs: Need,
  definition: string,
  source: string,
  unit: MeasureUnit = '1',
  power: MeasureRow['power'] = 0,
): MeasureRow => ({ id, name, unit, definition, source, needs, axis: true, power });

const ROWS: readonly MeasureRow[] = [
  row('roe.bl', 'Roe: B/L', 'outline', 'Greatest width over length.', ROE),
  row('roe.thb', 'Roe: Th/B', 'faces', 'Greatest thickness over greatest width.', ROE),
  row(
    'roe.t1l',
    'Roe: T1/L',
    'faces',
    'Thickness at one fifth of the length from the tip, over length.',
    ROE,
  ),
  row('roe.l1l', 'Roe: L1/L', 'outline', 'Distance from the base to the greatest width, over length.', ROE),
  row(
    'roe.b1b2',
    'Roe: B1/B2',
    'outline',
    'Width at one fifth of the length from the tip over width at one fifth from the base.',
    ROE,
  ),
  row('bordes.lm', 'Bordes: L/m', 'outline', 'Length over greatest width.', BORDES),
  row(
    'bordes.la',
    'Bordes: L/a',
    'outline',
    'Length over distance from the base to the greatest width.',
    BORDES,
  ),
  row(
    'bordes.nm',
    'Bordes: 100 n/m',
    'outline',
    'Width at half length as a percentage of the greatest width.',
    BORDES,
    'percent',
  ),
  row(
    'bordes.me',
    'Bordes: m/e',
    'faces',
    'Greatest width over greatest thickness; 2.35 parts thick (below) from flat (above).',
    BORDES,
  ),
  row('flatness', 'Flatness', 'faces', '(Length + width) / (2 × thickness).', 'Cailleux 1945'),
  row(
    'thinning',
    'Thinning index',
    'outline',
    'Weighed mass over plan area, g/cm².',
    'Johnson 1981',
    'g_per_cm2',
    2,
  ),
  row(
    'mass.estimated',
    'Mass, estimated',
    'faces',
    'Volume × the density given in the settings; not weighed.',
    'own definition',
    'g',
    3,
  ),
];

const NO_MASS = 'no weighed mass was given';
const NO_DENSITY = 'no density was given';

export const ratios: Family = {
  id: 'ratios',
  title: 'Ratios of the literature',
  rows: ROWS,
  compute(model, settings, shared) {
    return {
      values: {
        ...planRatios(model, settings, shared),
        ...(model.surface ? bodyRatios(model, settings, shared) : {}),
      },
    };
  },
};

function planRatios(model: Model, settings: MeasureSettings, shared: Shared): Record<string, Value> {
  const { plan } = shared;
  const width = (station: number): Value => widthValue(model, plan, (station / 100) * model.length);
  const length = lengthValue(model, settings, shared.plan);
  const greatest = greatestWidth(model, plan);
  const toGreatest: Value = {
    value: plan.greatest.y,
    components: { tracing: placeError(model, plan) },
  };
  const area: Value = { value: plan.area };
  return {
    'roe.bl': ratio(greatest, length),
    'roe.l1l': ratio(toGreatest, length),
    'roe.b1b2': ratio(width(80), width(20)),
    'bordes.lm': ratio(length, greatest),
    'bordes.la': ratio(length, toGreatest),
    'bordes.nm': ratio(width(50), greatest, 100),
    // mm² → cm².
    thinning: settings.mass === undefined ? none(NO_MASS) : ratio({ value: settings.mass }, area, 100),
  };
}

function bodyRatios(model: Model, settings: MeasureSettings, shared: Shared): Record<string, Value> {
  const thick = heightOf(model, shared);
  const t1 = thicknessAtStation(model, shared, 80);
  const length = lengthValue(model, settings, shared.plan);
  const width = greatestWidth(model, shared.plan);
  const sum: Value = {
    value: model.length + shared.plan.greatest.right - shared.plan.greatest.left,
    components: sumOf(length.components, width.components),
  };
  const { volume } = shared.body;
  return {
    'roe.thb': ratio(thick, width),
    'roe.t1l': ratio(t1, length),
    'bordes.me': ratio(width, thick),
    flatness: ratio(sum, thick, 0.5),
    'mass.estimated': estimatedMass(volume, settings.density),
  };
}

/** @param density g/cm³; volume is in mm³. */
function estimatedMass(volume: Value, density: number | undefined): Value {
  if (density === undefined) return none(NO_DENSITY);
  if (typeof volume.value !== 'number') return volume;
  const value = (volume.value / 1000) * density;
  return { value, components: relative(value, volume) };
}

/** Components of a sum of two independent values. */
function sumOf(a: Components = {}, b: Components = {}): Components {
  return {
    noise: Math.hypot(a.noise ?? 0, b.noise ?? 0),
    resolution: Math.hypot(a.resolution ?? 0, b.resolution ?? 0),
  };
}

function heightOf(model: Model, { cuts: { peak }, thicknessField }: Shared): Value {
  if (peak === undefined) return none('nowhere there do both faces lie over each other');
  return { value: peak.value, components: betweenFaces(model, peak, thicknessField) };
}
