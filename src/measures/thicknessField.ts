import { fieldPeak, type Grid, type Peak } from '../geometry/fieldPeak.ts';
import type { Model } from '../trace/types.ts';
import type { ThicknessMap } from './types.ts';

/** Noise below this share of the mean edge pulls no maximum. */
const NOISE_THAT_MATTERS = 0.01;

/** Thickness over the plan, ready to be asked for its greatest values. */
export interface ThicknessField {
  readonly map: ThicknessMap;
  /** Face A − Face B, mm; NaN outside. */
  readonly thickness: Grid;
  /** Standard deviation of a thickness's noise: two faces' worth. 0 where it does not matter. */
  readonly sigma: number;
}

export function thicknessField(model: Model, map: ThicknessMap): ThicknessField {
  const values = new Float32Array(map.faceA.length);
  for (let k = 0; k < values.length; k++) values[k] = map.faceA[k] - map.faceB[k];
  const { noise, meanEdge } = model.quality;
  const matters = noise > NOISE_THAT_MATTERS * meanEdge;
  return { map, thickness: asGrid(values, map, meanEdge), sigma: matters ? noise * Math.SQRT2 : 0 };
}

export function asGrid(values: Float32Array, map: ThicknessMap, meanEdge: number): Grid {
  return {
    values,
    columns: map.columns,
    rows: map.rows,
    cell: map.cell,
    grain: Math.max(meanEdge, map.cell / 2),
  };
}

/** Greatest thickness anywhere. */
export function greatestThickness({ thickness, sigma }: ThicknessField): Peak | undefined {
  return fieldPeak(thickness, sigma);
}

/** Greatest thickness across the section at height y: between the two rows of the map on either side of it. */
export function thicknessAt(field: ThicknessField, y: number): Peak | undefined {
  const { thickness, sigma, map } = field;
  const at = Math.min(map.rows - 1, Math.max(0, (y - map.y0) / map.cell));
  const below = Math.floor(at);
  const above = Math.min(map.rows - 1, below + 1);
  const a = fieldPeak(thickness, sigma, below, below);
  const b = fieldPeak(thickness, sigma, above, above);
  if (a === undefined || b === undefined) return a ?? b;
  const share = at - below;
  const nearer = share < 0.5 ? a : b;
  return { ...nearer, value: a.value * (1 - share) + b.value * share, error: Math.max(a.error, b.error) };
}

/** Extent along z: the highest of Face A less the lowest of Face B. */
export function boxThickness(
  field: ThicknessField,
  meanEdge: number,
): { value: number; error: number } | undefined {
  const { map, sigma } = field;
  const own = sigma / Math.SQRT2;
  const top = fieldPeak(asGrid(map.faceA, map, meanEdge), own);
  const bottom = fieldPeak(
    asGrid(
      map.faceB.map((z) => -z),
      map,
      meanEdge,
    ),
    own,
  );
  if (top === undefined || bottom === undefined) return undefined;
  return { value: top.value + bottom.value, error: Math.hypot(top.error, bottom.error) };
}

/** Frame x and y of a peak's cell, mm. */
export function placeOf(peak: Peak, map: ThicknessMap): { x: number; y: number } {
  return { x: map.x0 + peak.column * map.cell, y: map.y0 + peak.row * map.cell };
}

/** A map's value at a place, between its four cells; NaN where one of them is empty. */
export function sampleMap(values: Float32Array, map: ThicknessMap, x: number, y: number): number {
  const cx = (x - map.x0) / map.cell;
  const cy = (y - map.y0) / map.cell;
  const c = Math.floor(cx);
  const r = Math.floor(cy);
  if (c < 0 || r < 0 || c + 1 >= map.columns || r + 1 >= map.rows) return Number.NaN;
  const k = r * map.columns + c;
  const fx = cx - c;
  const fy = cy - r;
  return (
    (values[k] * (1 - fx) + values[k + 1] * fx) * (1 - fy) +
    (values[k + map.columns] * (1 - fx) + values[k + map.columns + 1] * fx) * fy
  );
}
