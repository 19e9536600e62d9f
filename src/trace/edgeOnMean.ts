import type { Warning } from '../geometry/types.ts';
import { LEANS } from './aslant.ts';
import type { EdgeOn } from './types.ts';

/** Thicknesses seen from both sides may differ by this share before it is told. */
const ALIKE_THICK = 0.03;

/**
 * What was seen from the left and from the right, which are the same silhouette mirrored, as one: their mean, in which the one
 * that was seen less aslant counts for more.
 */
export function meanEdgeOn(
  one: EdgeOn,
  other: EdgeOn,
): { readonly edgeOn: EdgeOn; readonly warnings: readonly Warning[] } {
  const [w, v] = weightsOf(one, other);
  const mean = (a: Float64Array, b: Float64Array): Float64Array => a.map((here, k) => w * here + v * b[k]);
  const thicknesses = ({ faceA, faceB }: EdgeOn): Float64Array => faceA.map((top, k) => top - faceB[k]);
  const middles = ({ faceA, faceB }: EdgeOn): Float64Array => faceA.map((top, k) => (top + faceB[k]) / 2);
  const first = thickest(one);
  const second = thickest(other);
  const thick = (first.value + second.value) / 2;
  const warnings: Warning[] = mirrorWarnings(one, other, thick);
  // Views more aslant than a piece leans by itself may differ by what their slants leave open.
  const straight = Math.max(Math.abs(one.slant), Math.abs(other.slant)) < Math.tan(LEANS);
  const open = straight ? 0 : 2 * Math.hypot(first.u, second.u);
  if (Math.abs(first.value - second.value) > Math.max(ALIKE_THICK * thick, open)) {
    warnings.push({
      code: 'views-differ',
      text: `Seen from the left the piece is ${first.value.toFixed(1)} mm thick, from the right ${second.value.toFixed(1)} mm: check the scale of both pictures.`,
    });
  }
  // Of a mean so weighted this is the standard deviation that its two parts tell.
  const spread = (a: Float64Array, b: Float64Array): Float64Array =>
    a.map((here, k) => Math.sqrt(w * v) * Math.abs(here - b[k]));
  const [p, q] = [one.quality, other.quality];
  const both = (a: number, b: number): number => Math.sqrt(w * a * a + v * b * b);
  const edgeOn: EdgeOn = {
    y: one.y,
    faceA: mean(one.faceA, other.faceA),
    faceB: mean(one.faceB, other.faceB),
    quality: {
      pixel: both(p.pixel, q.pixel),
      noise: Math.hypot(w * p.noise, v * q.noise),
      tracing: both(p.tracing, q.tracing),
      scale: both(p.scale, q.scale),
    },
    station: both(one.station, other.station),
    slant: w * Math.abs(one.slant) + v * Math.abs(other.slant),
    apart: {
      thickness: spread(thicknesses(one), thicknesses(other)),
      middle: spread(middles(one), middles(other)),
    },
    // One section is seen from both sides: what its form hides from the one it hides from the other.
    aslant: {
      thickness: mean(one.aslant.thickness, other.aslant.thickness),
      middle: mean(one.aslant.middle, other.aslant.middle),
    },
  };
  return { edgeOn, warnings };
}

/** Weights of two views, of sum 1: by how uncertain their slants leave the whole. */
function weightsOf(one: EdgeOn, other: EdgeOn): readonly [number, number] {
  const squares = (values: Float64Array): number => values.reduce((sum, value) => sum + value * value, 0);
  const [a, b] = [squares(one.aslant.thickness), squares(other.aslant.thickness)];
  return a + b > 0 ? [b / (a + b), a / (a + b)] : [0.5, 0.5];
}

/** The greatest thickness, what its slant leaves uncertain of it, and its station. */
export function thickest({ faceA, faceB, aslant }: EdgeOn): {
  readonly value: number;
  readonly u: number;
  readonly at: number;
} {
  let best = 0;
  for (let k = 1; k < faceA.length; k++) {
    if (faceA[k] - faceB[k] > faceA[best] - faceB[best]) best = k;
  }
  return { value: faceA[best] - faceB[best], u: aslant.thickness[best], at: best };
}

/** Two views that fit each other better with one of them turned about say so: tip to base, or as from the side of the other. */
function mirrorWarnings(one: EdgeOn, other: EdgeOn, thick: number): Warning[] {
  const last = one.y.length - 1;
  const away = (at: (k: number) => readonly [faceA: number, faceB: number]): number => {
    let sum = 0;
    for (let k = 0; k <= last; k++) {
      const [a, b] = at(k);
      sum += (one.faceA[k] - a) ** 2 + (one.faceB[k] - b) ** 2;
    }
    return Math.sqrt(sum / (2 * (last + 1)));
  };
  const asTold = away((k) => [other.faceA[k], other.faceB[k]]);
  const otherSide = away((k) => [-other.faceB[k], -other.faceA[k]]);
  // A picture turned by half a turn shows its faces on the other sides as well.
  const turned = away((k) => [-other.faceB[last - k], -other.faceA[last - k]]);
  const turnedSide = away((k) => [other.faceA[last - k], other.faceB[last - k]]);
  const least = Math.min(otherSide, turned, turnedSide);
  if (asTold < ALIKE_THICK * thick || least > asTold / 2) return [];
  const how =
    least === otherSide
      ? 'shown from the same side as the other'
      : least === turned
        ? 'upside down'
        : 'upside down and from the same side as the other';
  return [
    {
      code: 'views-differ',
      text: `The views from the left and from the right fit each other far better with one of them taken to be ${how}: check which is which, and that the tip was the same way up in both.`,
    },
  ];
}
