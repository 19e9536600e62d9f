import { rangeY } from '../geometry/polygonMoments.ts';
import type { Points2 } from '../geometry/types.ts';
import { traceMidline } from '../trace/midline.ts';
import type { Model, Outline } from '../trace/types.ts';
import { edgeLine } from './edgeLine.ts';
import { fourier } from './fourier.ts';
import { midline } from './midline.ts';
import { outline } from './outline.ts';
import { ratios } from './ratios.ts';
import { createShared } from './shared.ts';
import { symmetry } from './symmetry.ts';
import type { Family, MeasureSettings } from './types.ts';

/** Families that an outline alone feeds. */
const PLAN_FAMILIES: readonly Family[] = [outline, fourier, midline, symmetry, edgeLine, ratios];
/** Points of the outline that are enough for a difference. */
const MOST_POINTS = 1500;

/** Every so many points of the outer ring count, `most` at most: differences between two nearly equal outlines need no more. */
export function everySo(model: Model, most = MOST_POINTS): number {
  return Math.ceil(model.outline.outer.length / 2 / most);
}

/** The model with every `step`-th point of its outer ring. */
export function thinnedPlan(model: Model, step: number): Model {
  const { outer: all } = model.outline;
  const outer = new Float64Array(2 * Math.ceil(all.length / 2 / step));
  for (let i = 0, from = 0; i < outer.length; i += 2, from += 2 * step) {
    outer[i] = all[from];
    outer[i + 1] = all[from + 1];
  }
  return { ...model, ...laid({ ...model.outline, outer }, model.midline.x.length) };
}

/**
 * What errors of an outline's place are worth where each moves it as a whole pattern: the outer ring is moved by one of
 * `moves` after the other (x y pairs, mm, one standard uncertainty each), the measures are taken again on the axis as it is,
 * and the differences combined as root of the sum of squares. By measure id, in the measure's unit.
 */
export function errorOfMoves(
  model: Model,
  settings: MeasureSettings,
  moves: Iterable<Points2>,
): ReadonlyMap<string, number> {
  const out = new Map<string, number>();
  const { outer, inner } = model.outline;
  const plain = valuesOf(model, settings);
  for (const move of moves) {
    const ring = outer.map((v, i) => v + move[i]);
    const moved = valuesOf({ ...model, ...laid({ outer: ring, inner }, model.midline.x.length) }, settings);
    for (const [id, value] of plain) {
      const other = moved.get(id);
      if (other !== undefined) out.set(id, Math.hypot(out.get(id) ?? 0, other - value));
    }
  }
  return out;
}

function valuesOf(model: Model, settings: MeasureSettings): ReadonlyMap<string, number> {
  const shared = createShared(model, settings);
  const out = new Map<string, number>();
  for (const family of PLAN_FAMILIES) {
    for (const [id, { value }] of Object.entries(family.compute(model, settings, shared).values)) {
      if (typeof value === 'number' && Number.isFinite(value)) out.set(id, value);
    }
  }
  return out;
}

/** An outline with its base end on y = 0, and what follows from it. */
function laid({ outer, inner }: Outline, stations: number): Pick<Model, 'outline' | 'midline' | 'length'> {
  const { min, max } = rangeY(outer);
  const lowered = (points: Points2): Points2 => points.map((v, i) => (i % 2 === 0 ? v : v - min));
  const outline = { outer: lowered(outer), inner: inner.map(lowered) };
  const length = max - min;
  return { outline, midline: traceMidline(outline, length, stations), length };
}
