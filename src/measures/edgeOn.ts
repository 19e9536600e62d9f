import type { EdgeOn, Model, ViewQuality } from '../trace/types.ts';
import { outlineComponents } from './outlineError.ts';
import type { Plan } from './outlinePlan.ts';
import { SECTION_STATIONS } from './sectionCuts.ts';
import { shiftError } from './shiftError.ts';
import type { Components, Series, Value } from './types.ts';
import { ratio } from './values.ts';

/** The middle of a silhouette lies off that between the faces along the midline by this share of the thickness (on generated pieces). */
const OFF_MIDDLE = 0.01;
/** The direction of the length axis in a silhouette seen edge-on is known to this much, radians (practice). */
const TURNS = Math.PI / 180;

/**
 * What an edge-on silhouette tells of the thickness, by the ids of the catalogue. A silhouette shows the whole extent
 * at each station, which is the thickness where the margin runs straight and more than it where it winds: all but
 * `thickness.box` is marked as estimated.
 */
export function edgeOnValues(model: Model, plan: Plan): Record<string, Value> {
  const { edgeOn, quality, length } = model;
  if (edgeOn === undefined) return endOnValues(model, plan);
  const { y, faceA, faceB, apart, aslant, station: stray } = edgeOn;
  const last = y.length - 1;
  const heights = faceA.map((top, k) => top - faceB[k]);
  const at = heights.reduce((best, height, k) => (height > heights[best] ? k : best), 0);
  const widest = plan.greatest.right - plan.greatest.left;
  const own = outlineComponents(quality, Math.SQRT2);
  const width: Value = { value: widest, components: own };
  const long: Value = { value: length, components: own };
  const both: Value = { value: length + widest, components: own };
  const thick: Value = {
    ...thicknessOf(heights[at], edgeOn.quality, aslant.thickness[at], apart?.thickness[at]),
    estimated: true,
  };
  const box = boxOf(edgeOn, 0);
  const boxed = thicknessOf(box, edgeOn.quality, aslant.thickness[at], apart?.thickness[at]);
  const turned = shiftError((turn) => boxOf(edgeOn, turn), TURNS);
  const estimated = (value: Value): Value => ({ ...value, estimated: true });
  const atStation = (station: number): Value => {
    const k = Math.round((station / 100) * last);
    const along = shiftError((shift) => heightAt(heights, k + (shift / length) * last), stray);
    return {
      ...withMore(thicknessOf(heights[k], edgeOn.quality, aslant.thickness[k], apart?.thickness[k]), along),
      estimated: true,
    };
  };
  const middles = faceA.map((top, k) => Math.abs(top + faceB[k]) / 2);
  const bent = middles.reduce((best, v, k) => (v > middles[best] ? k : best), 0);
  const values: Record<string, Value> = {
    thickness: thick,
    'thickness.station': {
      value: (100 * y[at]) / length,
      components: {
        resolution: (100 * 2 * edgeOn.quality.pixel) / length,
        tracing: (100 * stray) / length,
      },
      estimated: true,
    },
    'thickness.box': withMore(boxed, turned),
    'width.thickness': estimated(ratio(width, thick)),
    'bow.profile': {
      value: middles[bent],
      components: {
        ...outlineComponents(asScan(edgeOn.quality), Math.sqrt(1.5)),
        tracing: Math.hypot(
          middles[bent] * edgeOn.quality.scale,
          apart?.middle[bent] ?? 0,
          // The ends of its chord are as open as the place itself: by no more than the widest section.
          Math.max(...aslant.middle),
          OFF_MIDDLE * heights[at],
        ),
      },
      estimated: true,
      ownScale: true,
    },
    'roe.thb': estimated(ratio(thick, width)),
    'roe.t1l': estimated(ratio(atStation(80), long)),
    'bordes.me': estimated(ratio(width, thick)),
    flatness: estimated(ratio(both, thick, 0.5)),
  };
  for (const station of SECTION_STATIONS) values[`thickness.at.${station}`] = atStation(station);
  return values;
}

/** A view's own quality as that of a line. */
function asScan({ pixel, noise, tracing }: ViewQuality): Model['quality'] {
  return { meanEdge: pixel, noise, ...(tracing > 0 ? { tracing } : {}) };
}

/**
 * A thickness read off a silhouette, with what is not known of it: the two edges, the scale of that picture, what two views
 * differ by, and how much of the width the silhouette shows aslant (mm each).
 */
function thicknessOf(value: number, quality: ViewQuality, aslant: number, apart = 0): Value {
  return {
    value,
    components: {
      ...outlineComponents(asScan(quality), Math.SQRT2),
      tracing: Math.hypot(value * quality.scale, apart, aslant),
    },
    ownScale: true,
  };
}

function withMore(value: Value, tracing: number): Value {
  const components: Components = { ...value.components };
  return { ...value, components: { ...components, tracing: Math.hypot(components.tracing ?? 0, tracing) } };
}

/** The whole extent across an axis turned a little. */
function boxOf({ y, faceA, faceB }: EdgeOn, turn: number): number {
  let [top, bottom] = [-Infinity, Infinity];
  for (let k = 0; k < y.length; k++) {
    top = Math.max(top, faceA[k] + turn * y[k]);
    bottom = Math.min(bottom, faceB[k] + turn * y[k]);
  }
  return top - bottom;
}

/** Heights between stations, straight; those of the ends beyond them. */
function heightAt(heights: Float64Array, place: number): number {
  const within = Math.min(heights.length - 1, Math.max(0, place));
  const k = Math.min(heights.length - 2, Math.floor(within));
  return heights[k] + (within - k) * (heights[k + 1] - heights[k]);
}

/** What a silhouette seen from the tip alone tells: the piece is nowhere thicker than it is as a whole. */
function endOnValues({ endOn, quality, length }: Model, plan: Plan): Record<string, Value> {
  if (endOn === undefined) return {};
  const components = outlineComponents(quality, Math.SQRT2);
  const box = thicknessOf(endOn.thickness, endOn.quality, endOn.aslant);
  const thick: Value = { ...box, estimated: true };
  const widest = plan.greatest.right - plan.greatest.left;
  const width: Value = { value: widest, components };
  const both: Value = { value: length + widest, components };
  const estimated = (value: Value): Value => ({ ...value, estimated: true });
  return {
    thickness: thick,
    'thickness.box': box,
    'width.thickness': estimated(ratio(width, thick)),
    'roe.thb': estimated(ratio(thick, width)),
    'bordes.me': estimated(ratio(width, thick)),
    flatness: estimated(ratio(both, thick, 0.5)),
  };
}

/** Along the stations of the midline: extent edge-on, and width over it. */
export function edgeOnSeries({ edgeOn, midline }: Model): Series | undefined {
  if (edgeOn === undefined) return undefined;
  const nothing = new Float64Array(midline.y.length).fill(Number.NaN);
  const greatest = edgeOn.faceA.map((top, k) => top - edgeOn.faceB[k]);
  const widthThickness = greatest.map((height, k) =>
    height > 0 ? (midline.rightX[k] - midline.leftX[k]) / height : Number.NaN,
  );
  return { station: midline.station, greatest, midline: nothing, widthThickness, area: nothing };
}
