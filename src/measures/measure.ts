import type { Hooks, Warning } from '../geometry/types.ts';
import type { Model } from '../trace/types.ts';
import { FAMILIES } from './catalogue.ts';
import { doubts } from './doubts.ts';
import { edgeOnSeries, edgeOnValues } from './edgeOn.ts';
import { edgeRounding } from './edgeRounding.ts';
import { tracedEdges } from './edgeTraced.ts';
import { handError } from './handError.ts';
import { everySo, thinnedPlan } from './movedPlan.ts';
import { axisError, orientationSpread } from './orientation.ts';
import { roundingError } from './roundingError.ts';
import { createShared, type Shared } from './shared.ts';
import { swayError } from './swayError.ts';
import type {
  Components,
  ExcessMap,
  Hump,
  Measurement,
  MeasureResult,
  MeasureRow,
  MeasureSettings,
  Need,
  Section,
  Series,
  Value,
} from './types.ts';
import { withUnscanned } from './unscanned.ts';

const WHY_NOT: Readonly<Record<Need, string>> = {
  outline: 'no outline was traced',
  margin: 'needs the margin in three dimensions: an outline alone does not show it',
  faces: 'needs both faces as a surface: an outline alone does not show them',
};

/** Fills every row of the catalogue for one model. Pure; the same model and settings give the same result. */
export function measure(scanned: Model, settings: MeasureSettings, hooks: Hooks = {}): MeasureResult {
  const model = withUnscanned(scanned);
  const shared = createShared(model, settings);
  const found: Record<string, Value> = {};
  const series: Record<string, Series> = {};
  const sections: Section[] = [];
  const humps: Hump[] = [];
  const warnings: Warning[] = [];
  const traced = tracedEdges(model, settings);
  const edgeOn = { ...edgeOnValues(model, shared.plan), ...traced.values };
  let excess: ExcessMap | undefined;
  FAMILIES.forEach((family, index) => {
    hooks.signal?.throwIfAborted();
    hooks.progress?.(index / FAMILIES.length, family.title);
    const applies = family.rows.some((row) => has(model, row.needs));
    const result = applies ? family.compute(model, settings, shared, hooks) : { values: {} };
    for (const row of family.rows) {
      found[row.id] = result.values[row.id] ?? edgeOn[row.id] ?? { value: null, reason: WHY_NOT[row.needs] };
    }
    Object.assign(series, result.series);
    sections.push(...(result.sections ?? []));
    humps.push(...(result.humps ?? []));
    warnings.push(...(result.warnings ?? []));
    excess = result.excess ?? excess;
  });
  const seen = edgeOnSeries(model);
  if (seen !== undefined) series.thickness = seen;
  if (traced.series !== undefined) series.margin = traced.series;
  warnings.push(...doubts(model, settings, shared));
  const few = forDifferences(model, settings, shared);
  const parts = {
    hand: handError(model, settings),
    sway: swayError(model, settings),
    error: axisError(few.model, settings, few.shared),
    spread: orientationSpread(few.model, settings, few.shared, found),
    rounding: roundingOf(model, settings, shared, found),
  };
  const measurements = FAMILIES.flatMap(({ rows }) =>
    rows.map((row) => finish(row, found[row.id], model, parts)),
  );
  hooks.progress?.(1, 'measured');
  return {
    measurements,
    series,
    sections,
    humps,
    warnings,
    ...(model.surface ? { thicknessMap: shared.thicknessMap } : {}),
    ...(excess ? { excess } : {}),
  };
}

/** Points of an outline that are enough for what a slight turn of its axis does, which single points may decide. */
const MOST_POINTS = 3000;

/** What differences between two axes are taken of: fewer points of an outline are enough, unless each goes with one of a margin. */
function forDifferences(
  model: Model,
  settings: MeasureSettings,
  shared: Shared,
): { readonly model: Model; readonly shared: Shared } {
  const step = model.margin === undefined ? everySo(model, MOST_POINTS) : 1;
  if (step === 1) return { model, shared };
  const thinned = thinnedPlan(model, step);
  return { model: thinned, shared: createShared(thinned, settings) };
}

/** What the rounding of its edge is worth in the measures of a scan. */
function roundingOf(
  model: Model,
  settings: MeasureSettings,
  shared: Shared,
  found: Readonly<Record<string, Value>>,
): ReadonlyMap<string, number> {
  const gap = model.surface && model.margin ? edgeRounding(shared.edgeAngles) : 0;
  return gap === 0 ? new Map() : roundingError(model, settings, shared, gap, found);
}

function has(model: Model, need: Need): boolean {
  if (need === 'outline') return true;
  return need === 'margin' ? model.margin !== undefined : model.surface !== undefined;
}

/** By measure id: the error of the chosen axis, the spread under the automatic ones, that of hand-drawn stretches, of a margin seen aslant, and of a rounded edge. */
interface SharedParts {
  readonly hand: ReadonlyMap<string, number>;
  readonly sway: ReadonlyMap<string, number>;
  readonly error: ReadonlyMap<string, number>;
  readonly spread: ReadonlyMap<string, number>;
  readonly rounding: ReadonlyMap<string, number>;
}

function finish(
  row: MeasureRow,
  { ownScale, ...value }: Value,
  model: Model,
  { error, spread, hand, sway, rounding }: SharedParts,
): Measurement {
  const base = { id: row.id, unit: row.unit, ...value };
  if (typeof value.value !== 'number') return base;
  if (!Number.isFinite(value.value)) {
    return { id: row.id, unit: row.unit, value: null, reason: value.reason ?? 'not defined for this shape' };
  }
  const components: Components = { ...value.components };
  const orientation = error.get(row.id) ?? 0;
  if (orientation > 0) components.orientation = orientation;
  if (ownScale !== true && model.scaleUncertainty > 0 && row.power > 0) {
    components.scale = Math.abs(value.value) * row.power * model.scaleUncertainty;
  }
  const drawn = hand.get(row.id) ?? 0;
  if (drawn > 0) components.hand = drawn;
  const rounded = Math.hypot(rounding.get(row.id) ?? 0, sway.get(row.id) ?? 0);
  if (rounded > 0) components.tracing = Math.hypot(components.tracing ?? 0, rounded);
  const u = combine(components);
  const definition = spread.get(row.id) ?? 0;
  if (definition > 0) components.definition = definition;
  return { ...base, components, u };
}

/** Root sum of squares of independent components (JCGM 100:2008, 5.1.2), without what is a matter of definition. */
export function combine({ definition: _, ...components }: Components): number {
  let sum = 0;
  for (const part of Object.values(components) as number[]) sum += part * part;
  return Math.sqrt(sum);
}
