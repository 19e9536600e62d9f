import { chordAt, indexChords } from '../geometry/polygonChords.ts';
import { alignRing, areaBelow, majorAxis, polygonMoments, rangeY } from '../geometry/polygonMoments.ts';
import type { Points2, Warning } from '../geometry/types.ts';
import type { EdgeOn } from './types.ts';

/** The side from which a piece is seen edge-on, tip up. From the left, Face A is on the right of the picture. */
export type EdgeOnSide = 'left' | 'right';

/** Lengths of two views of one piece may differ by this share before it is told. */
const ALIKE = 0.02;
/** Share of the length at either end that is left out of the chord: there a silhouette ends in a point. */
const END = 0.02;

/**
 * A silhouette seen edge-on (plane mm, counter-clockwise) → greatest and least height at `stations` stations of the
 * piece's `length` in plan. The end that holds less area is the tip, unless flipped. Height 0 is the chord of the
 * middle line. Stations are matched by their share of the length, so that the scale along the piece is that of the plan.
 */
export function traceEdgeOn(
  ring: Points2,
  side: EdgeOnSide,
  length: number,
  stations: number,
  flip: boolean,
): { readonly edgeOn: EdgeOn; readonly warnings: readonly Warning[] } {
  const moments = polygonMoments([ring]);
  const { angle } = majorAxis(moments);
  let aligned = alignRing(ring, angle, 0);
  const { min: low, max: high } = rangeY(aligned);
  const reach = 0.15 * (high - low);
  const base = areaBelow([aligned], low + reach);
  const tip = areaBelow([aligned], high) - areaBelow([aligned], high - reach);
  if (tip > base !== flip) aligned = alignRing(ring, angle + Math.PI, 0);
  const { min: foot, max: top } = rangeY(aligned);
  const chords = indexChords([aligned]);
  const warnings: Warning[] = [];
  const seen = top - foot;
  if (Math.abs(seen / length - 1) > ALIKE) {
    warnings.push({
      code: 'views-differ',
      text: `Seen edge-on the piece is ${seen.toFixed(1)} mm long, in plan ${length.toFixed(1)} mm: check the scale of both pictures, and that the piece stood upright on its edge.`,
    });
  }
  const y = new Float64Array(stations);
  const [left, right] = [new Float64Array(stations), new Float64Array(stations)];
  for (let k = 0; k < stations; k++) {
    const share = k / (stations - 1);
    y[k] = share * length;
    // The very ends are points: a hair inside them the chord is what it tends to.
    const at = foot + seen * Math.min(1 - 1e-6, Math.max(1e-6, share));
    const chord = chordAt(chords, at);
    left[k] = chord?.left ?? 0;
    right[k] = chord?.right ?? 0;
  }
  level(left, right);
  const faceA = side === 'left' ? right : left.map((v) => -v);
  const faceB = side === 'left' ? left : right.map((v) => -v);
  return { edgeOn: { y, faceA, faceB, side }, warnings };
}

/** Takes the chord of the middle line off both sides, in place. */
function level(left: Float64Array, right: Float64Array): void {
  const last = left.length - 1;
  const [a, b] = [Math.round(END * last), Math.round((1 - END) * last)];
  const middle = (k: number): number => (left[k] + right[k]) / 2;
  const slope = (middle(b) - middle(a)) / (b - a);
  const start = middle(a) - slope * a;
  for (let k = 0; k <= last; k++) {
    left[k] -= start + slope * k;
    right[k] -= start + slope * k;
  }
}
