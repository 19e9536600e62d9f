import { rangeY } from '../geometry/polygonMoments.ts';
import { movedOutward } from '../geometry/polygonOffset.ts';
import { traceMidline } from '../trace/midline.ts';
import type { Model } from '../trace/types.ts';
import { midline } from './midline.ts';
import { outline } from './outline.ts';
import { ratios } from './ratios.ts';
import { cutAtStation, SECTION_STATIONS } from './sectionCuts.ts';
import { createShared, type Shared } from './shared.ts';
import { symmetry } from './symmetry.ts';
import { thicknessAt } from './thicknessField.ts';
import type { Family, MeasureSettings, Value } from './types.ts';

/** The stone is as likely round there, and nothing is missing, as sharp, and all of it is: the root mean square of the two. */
const MISSING = Math.SQRT1_2;
/** The outermost line of a round rim stands by this share of what is missing higher or lower than the edge that it was, as a standard deviation (on smoothed generated pieces); and the range of many such, in standard deviations. */
const OFF_EDGE = 1 / 3;
const PEAK_TO_TROUGH = 3;
/** Families that rest on the outline. */
const FAMILIES: readonly Family[] = [outline, midline, symmetry, ratios];

/**
 * What an edge that was rounded by `gap` mm is worth: standard uncertainties by measure id, from everything that rests on
 * the outline measured again with the outline moved outward by so much, and from what is counted in stations, which move
 * with its ends.
 *
 * @param found what was measured, by id
 */
export function roundingError(
  model: Model,
  settings: MeasureSettings,
  shared: Shared,
  gap: number,
  found: Readonly<Record<string, Value>>,
): ReadonlyMap<string, number> {
  const errors = new Map<string, number>();
  const put = (id: string, difference: number): void => {
    if (Number.isFinite(difference)) errors.set(id, MISSING * Math.abs(difference));
  };
  const { sharp, base } = sharpened(model, gap);
  const known = createShared(sharp, settings, {
    body: () => shared.body,
    thicknessField: () => shared.thicknessField,
    cuts: () => shared.cuts,
  });
  const numberOf = (value: Value | undefined): number =>
    typeof value?.value === 'number' ? value.value : Number.NaN;
  for (const family of FAMILIES) {
    const { values } = family.compute(sharp, settings, known);
    for (const [id, value] of Object.entries(values)) put(id, numberOf(value) - numberOf(found[id]));
  }
  // Of body measures, those that are so much over an outline's.
  for (const [id, by] of [
    ['thickness.mean', 'area'],
    ['width.thickness', 'width'],
  ] as const) {
    put(id, (numberOf(found[id]) * (errors.get(by) ?? Number.NaN)) / MISSING / numberOf(found[by]));
  }
  for (const station of SECTION_STATIONS) {
    const from = (station / 100) * model.length;
    const to = (station / 100) * sharp.length + base;
    errors.set(`section.${station}.width`, errors.get(`width.at.${station}`) ?? 0);
    put(`section.${station}.area`, areaNear(model, shared, to) - areaNear(model, shared, from));
    const thicker = thicknessNear(shared, to) - thicknessNear(shared, from);
    put(`thickness.at.${station}`, thicker);
    // The share of a face rests on the line between two margins.
    const at = cutAtStation(shared.cuts, station);
    if (at !== undefined) {
      const width = numberOf(found[`section.${station}.width`]);
      const area = numberOf(found[`section.${station}.area`]);
      errors.set(`section.${station}.faces`, (100 * width * OFF_EDGE * gap) / Math.SQRT2 / area);
    }
    if (cutAtStation(shared.cuts, station)?.thickness !== undefined)
      put(`section.${station}.thickness`, thicker);
  }
  for (const side of ['left', 'right']) {
    errors.set(`edge.wander.${side}`, OFF_EDGE * gap);
    errors.set(`edge.range.${side}`, PEAK_TO_TROUGH * OFF_EDGE * gap);
  }
  return errors;
}

/** The piece with its outline moved outward, corners to where their sides meet; its base lies at y = `base` of the piece as it is. */
function sharpened(model: Model, gap: number): { readonly sharp: Model; readonly base: number } {
  const rings = movedOutward([model.outline.outer, ...model.outline.inner], gap);
  const { min, max } = rangeY(rings[0]);
  for (const ring of rings) for (let i = 1; i < ring.length; i += 2) ring[i] -= min;
  const length = max - min;
  const plan = { outer: rings[0], inner: rings.slice(1) };
  const { margin: _, ...rest } = model;
  return {
    base: min,
    sharp: { ...rest, outline: plan, length, midline: traceMidline(plan, length, model.midline.x.length) },
  };
}

function areaNear({ midline: { y } }: Model, { sectionAreas }: Shared, at: number): number {
  if (sectionAreas === undefined) return Number.NaN;
  const place = Math.min(
    y.length - 1,
    Math.max(0, ((at - y[0]) / (y[y.length - 1] - y[0])) * (y.length - 1)),
  );
  const k = Math.min(y.length - 2, Math.floor(place));
  return sectionAreas[k] + (place - k) * (sectionAreas[k + 1] - sectionAreas[k]);
}

function thicknessNear({ thicknessField }: Shared, y: number): number {
  return thicknessAt(thicknessField, y)?.value ?? Number.NaN;
}
