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
/** Stretches that are moved one by one; what is left of many is moved together, as one stretch. */
const MOST_STRETCHES = 6;
/** Points of the outline that are enough for a difference. */
const MOST_POINTS = 1500;

/**
 * What the uncertainty of hand-drawn stretches of the outline is worth: each stretch is moved outward by the hand's
 * standard uncertainty, all along it alike, because a hand errs to one side for a while; the measures are taken again,
 * and the differences combined as root of the sum of squares. By measure id, in the measure's unit.
 */
export function handError(whole: Model, settings: MeasureSettings): ReadonlyMap<string, number> {
  const out = new Map<string, number>();
  if (whole.drawn === undefined) return out;
  const { model, drawn } = thinned(whole, whole.drawn);
  const plain = valuesOf(model, settings);
  for (const stretch of stretchesOf(drawn)) {
    const moved = valuesOf({ ...model, ...movedOut(model, drawn, stretch) }, settings);
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

/** Every so many points of the outer ring: differences between two nearly equal outlines need no more. */
function thinned(model: Model, drawn: Float64Array): { readonly model: Model; readonly drawn: Float64Array } {
  const step = Math.ceil(drawn.length / MOST_POINTS);
  const outer = model.outline.outer.filter((_, i) => (i >> 1) % step === 0);
  return {
    model: { ...model, ...laid({ ...model.outline, outer }, model.midline.x.length) },
    drawn: drawn.filter((_, i) => i % step === 0),
  };
}

/** Runs of points with an uncertainty, as masks over the ring; longest first, the surplus in one. */
function stretchesOf(drawn: Float64Array): Uint8Array[] {
  const n = drawn.length;
  const first = Math.max(0, drawn.indexOf(0));
  const runs: number[][] = [];
  for (let k = 0, open = false; k < n; k++) {
    const i = (first + k) % n;
    if (drawn[i] > 0 && open) runs[runs.length - 1].push(i);
    else if (drawn[i] > 0) runs.push([i]);
    open = drawn[i] > 0;
  }
  runs.sort((a, b) => b.length - a.length);
  const alone = runs.slice(0, MOST_STRETCHES);
  const rest = runs.slice(MOST_STRETCHES).flat();
  return (rest.length > 0 ? [...alone, rest] : alone).map((run) => {
    const mask = new Uint8Array(n);
    for (const i of run) mask[i] = 1;
    return mask;
  });
}

/** Outline, midline and length with one stretch moved outward; the axis stays. */
function movedOut(
  model: Model,
  drawn: Float64Array,
  stretch: Uint8Array,
): Pick<Model, 'outline' | 'midline' | 'length'> {
  const { outer, inner } = model.outline;
  const ring = Float64Array.from(outer);
  const n = drawn.length;
  for (let i = 0; i < n; i++) {
    if (stretch[i] === 0) continue;
    const a = (i + n - 1) % n;
    const b = (i + 1) % n;
    const dx = outer[2 * b] - outer[2 * a];
    const dy = outer[2 * b + 1] - outer[2 * a + 1];
    const size = Math.hypot(dx, dy) || 1;
    ring[2 * i] += (drawn[i] * dy) / size;
    ring[2 * i + 1] -= (drawn[i] * dx) / size;
  }
  return laid({ outer: ring, inner }, model.midline.x.length);
}

/** An outline with its base end on y = 0, and what follows from it. */
function laid({ outer, inner }: Outline, stations: number): Pick<Model, 'outline' | 'midline' | 'length'> {
  const { min, max } = rangeY(outer);
  const lowered = (points: Points2): Points2 => points.map((v, i) => (i % 2 === 0 ? v : v - min));
  const outline = { outer: lowered(outer), inner: inner.map(lowered) };
  const length = max - min;
  return { outline, midline: traceMidline(outline, length, stations), length };
}
