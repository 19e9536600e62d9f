import type { Model } from '../trace/types.ts';
import { independentPoints, outlineComponents } from './outlineError.ts';
import { chordAtStation, type Plan } from './outlinePlan.ts';
import type { Family } from './types.ts';

/** The bow is taken between these stations. */
const FROM = 5;
const TO = 95;
const DEGREES = 180 / Math.PI;

export const midline: Family = {
  id: 'midline',
  title: 'Midline',
  rows: [
    {
      id: 'midline.rms',
      name: 'Midline deviation',
      unit: 'mm',
      definition:
        'Root mean square distance of the midline (middles of the outermost width chords at all stations but the very ends) from the length axis.',
      source: 'own definition',
      needs: 'outline',
      axis: true,
      power: 1,
    },
    {
      id: 'midline.bow',
      name: 'Midline bow',
      unit: 'mm',
      definition:
        'Greatest distance of the midline from the straight line through its points at stations 5 and 95, between those stations; + to the right.',
      source: 'own definition',
      needs: 'outline',
      axis: true,
      power: 1,
    },
    {
      id: 'midline.skew',
      name: 'Midline skew',
      unit: 'deg',
      definition:
        'Angle between the least-squares line through the midline (all stations but the very ends) and the length axis; + where it leans to the right towards the tip.',
      source: 'own definition',
      needs: 'outline',
      axis: true,
      power: 0,
    },
  ],
  compute(model, _settings, shared) {
    const { length, quality } = model;
    const { x, y } = model.midline;
    const n = x.length;
    let squares = 0;
    let sx = 0;
    let sy = 0;
    let syy = 0;
    let sxy = 0;
    // At the very ends there is no chord, only the outermost point, which on a flat base is left to chance.
    for (let k = 1; k < n - 1; k++) {
      // Each end counts as its neighbour does, by half.
      squares += (k === 1 || k === n - 2 ? 1.5 : 1) * x[k] * x[k];
      sx += x[k];
      sy += y[k];
      syy += y[k] * y[k];
      sxy += x[k] * y[k];
    }
    const slope = ((n - 2) * sxy - sx * sy) / ((n - 2) * syy - sy * sy);
    const points = independentPoints(quality, length);
    const rms = Math.sqrt(squares / (n - 1));
    // A middle is the mean of two margins.
    const middle = Math.SQRT1_2;
    const from = chordAtStation(shared.plan, length, FROM);
    const to = chordAtStation(shared.plan, length, TO);
    return {
      values: {
        'midline.rms': {
          value: rms,
          components: {
            ...outlineComponents(quality, middle, points),
            tracing: endRows(model, shared.plan, x, rms),
          },
        },
        'midline.bow': {
          value: greatestOff(x, y, from, to),
          components: outlineComponents(quality, middle * Math.sqrt(1.5)),
        },
        'midline.skew': {
          value: Math.atan(slope) * DEGREES,
          components: outlineComponents(quality, (middle * Math.sqrt(12) * DEGREES) / length, points),
        },
      },
    };
  },
};

/**
 * What the rows at the very ends are worth in a root mean square over all rows, where the ends are not where they seem:
 * rows of their own deviation more or less.
 */
export function endRows(model: Model, plan: Plan, deviation: Float64Array, rms: number): number {
  const { at } = plan.lengthError;
  const n = deviation.length;
  const change = (k: number, error: number): number => Math.abs(deviation[k] ** 2 - rms * rms) * error;
  const both = Math.hypot(change(1, at(0)), change(n - 2, at(1)));
  return rms > 0 ? both / (2 * rms * model.length) : 0;
}

interface Place {
  readonly y: number;
  readonly left: number;
  readonly right: number;
}

/** Signed distance, + to the right, of the point that lies farthest from the line through the two chords' middles. */
function greatestOff(x: Float64Array, y: Float64Array, from: Place, to: Place): number {
  const x0 = (from.left + from.right) / 2;
  const dx = (to.left + to.right) / 2 - x0;
  const dy = to.y - from.y;
  const norm = Math.hypot(dx, dy);
  let worst = 0;
  for (let k = 0; k < x.length; k++) {
    if (y[k] < from.y || y[k] > to.y) continue;
    const off = ((x[k] - x0) * dy - (y[k] - from.y) * dx) / norm;
    if (Math.abs(off) > Math.abs(worst)) worst = off;
  }
  return worst;
}
