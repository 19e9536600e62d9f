import type { Model } from '../trace/types.ts';
import { outlineComponents } from './outlineError.ts';
import type { Plan } from './outlinePlan.ts';
import { SECTION_STATIONS } from './sectionCuts.ts';
import type { Series, Value } from './types.ts';
import { ratio } from './values.ts';

/**
 * What an edge-on silhouette tells of the thickness, by the ids of the catalogue. A silhouette shows the whole extent
 * at each station, which is the thickness where the margin runs straight and more than it where it winds: all but
 * `thickness.box` is marked as estimated.
 */
export function edgeOnValues(model: Model, plan: Plan): Record<string, Value> {
  const { edgeOn, quality, length } = model;
  if (edgeOn === undefined) return endOnValues(model, plan);
  const components = outlineComponents(quality, Math.SQRT2);
  const { y, faceA, faceB } = edgeOn;
  const heights = faceA.map((top, k) => top - faceB[k]);
  const at = heights.reduce((best, height, k) => (height > heights[best] ? k : best), 0);
  const thick: Value = { value: heights[at], components, estimated: true };
  const box = Math.max(...faceA) - Math.min(...faceB);
  const width: Value = { value: plan.greatest.right - plan.greatest.left, components };
  const long: Value = { value: length, components };
  const both: Value = { value: length + plan.greatest.right - plan.greatest.left, components };
  const estimated = (value: Value): Value => ({ ...value, estimated: true });
  const atStation = (station: number): Value => {
    const k = Math.round((station / 100) * (y.length - 1));
    return { value: heights[k], components, estimated: true };
  };
  const values: Record<string, Value> = {
    thickness: thick,
    'thickness.station': {
      value: (100 * y[at]) / length,
      components: { resolution: (100 * 2 * quality.meanEdge) / length },
      estimated: true,
    },
    'thickness.box': { value: box, components },
    'width.thickness': estimated(ratio(width, thick)),
    'bow.profile': {
      value: Math.max(...faceA.map((top, k) => Math.abs(top + faceB[k]) / 2)),
      components: outlineComponents(quality, Math.sqrt(1.5)),
      estimated: true,
    },
    'roe.thb': estimated(ratio(thick, width)),
    'roe.t1l': estimated(ratio(atStation(80), long)),
    'bordes.me': estimated(ratio(width, thick)),
    flatness: estimated(ratio(both, thick, 0.5)),
  };
  for (const station of SECTION_STATIONS) values[`thickness.at.${station}`] = atStation(station);
  return values;
}

/** What a silhouette seen from the tip alone tells: the piece is nowhere thicker than it is as a whole. */
function endOnValues({ endOn, quality, length }: Model, plan: Plan): Record<string, Value> {
  if (endOn === undefined) return {};
  const components = outlineComponents(quality, Math.SQRT2);
  const thick: Value = { value: endOn.thickness, components, estimated: true };
  const widest = plan.greatest.right - plan.greatest.left;
  const width: Value = { value: widest, components };
  const both: Value = { value: length + widest, components };
  const estimated = (value: Value): Value => ({ ...value, estimated: true });
  return {
    thickness: thick,
    'thickness.box': { value: endOn.thickness, components },
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
