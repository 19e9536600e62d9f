import type { Model } from '../trace/types.ts';
import { sharedError } from './faceError.ts';
import { heightRun, type Stretch } from './marginRuns.ts';
import type { ThicknessMap, Value } from './types.ts';

/** Highest point of Face A and lowest of Face B in each row of the map; NaN in empty rows. */
export interface FaceEnvelope {
  readonly top: Float64Array;
  readonly bottom: Float64Array;
}

export function faceEnvelope(map: ThicknessMap): FaceEnvelope {
  const top = new Float64Array(map.rows).fill(NaN);
  const bottom = new Float64Array(map.rows).fill(NaN);
  for (let row = 0; row < map.rows; row++) {
    const end = (row + 1) * map.columns;
    for (let c = row * map.columns; c < end; c++) {
      // Comparisons with NaN are false: the negated form also takes the first value.
      if (!(map.faceA[c] <= top[row]) && !Number.isNaN(map.faceA[c])) top[row] = map.faceA[c];
      if (!(map.faceB[c] >= bottom[row]) && !Number.isNaN(map.faceB[c])) bottom[row] = map.faceB[c];
    }
  }
  return { top, bottom };
}

/**
 * Height of a point between the outermost surfaces of the faces at its y: 0 level with the lowest point of the section,
 * 100 with its highest; NaN where the section is empty or has no thickness.
 */
export function offsetAt(map: ThicknessMap, envelope: FaceEnvelope, y: number, z: number): number {
  const row = (y - map.y0) / map.cell;
  const low = Math.min(Math.max(Math.floor(row), 0), Math.max(0, map.rows - 2));
  const high = Math.min(low + 1, map.rows - 1);
  const f = Math.min(1, Math.max(0, row - low));
  const top = envelope.top[low] + f * (envelope.top[high] - envelope.top[low]);
  const bottom = envelope.bottom[low] + f * (envelope.bottom[high] - envelope.bottom[low]);
  return top > bottom ? (100 * (z - bottom)) / (top - bottom) : NaN;
}

/** Mean offset along stretches of the margin, every station (mm of y) counting the same. */
export function meanOffset(model: Model, stretches: readonly Stretch[], map: ThicknessMap): Value {
  const { margin, quality } = model;
  if (margin === undefined) return { value: null, reason: 'no margin was traced' };
  const envelope = faceEnvelope(map);
  let sum = 0;
  let perThickness = 0;
  let weight = 0;
  for (const stretch of stretches) {
    const { y, z } = heightRun(margin, stretch);
    for (let i = 1; i < y.length; i++) {
      const middle = (y[i] + y[i - 1]) / 2;
      const height = (z[i] + z[i - 1]) / 2;
      const offset = offsetAt(map, envelope, middle, height);
      if (Number.isNaN(offset)) continue;
      const dy = Math.abs(y[i] - y[i - 1]);
      sum += dy * offset;
      perThickness += dy * (offsetAt(map, envelope, middle, height + 1) - offset);
      weight += dy;
    }
  }
  if (!(weight > 0)) return { value: null, reason: 'no station of this side is left to measure' };
  // A millimetre of height is worth perThickness/weight percent. The mean of n readings of the margin's height, and the
  // two outermost points of each section, which noise moves outwards by about as much on either face.
  const readings = Math.max(1, weight);
  const millimetre = perThickness / weight;
  return {
    value: sum / weight,
    components: {
      noise: millimetre * Math.hypot(quality.noise / Math.sqrt(readings), sharedError(quality, readings)),
      tracing: (millimetre * quality.meanEdge) / Math.sqrt(12 * readings),
    },
  };
}
