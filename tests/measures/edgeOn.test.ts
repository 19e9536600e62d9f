import { describe, expect, it } from 'vitest';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/measures/settings.ts';
import type { EdgeOn } from '../../src/trace/types.ts';
import { measured, modelOf } from './support/model.ts';

const POINTS = 800;
/** Plan 80 mm long and 40 wide. */
const ELLIPSE = Float64Array.from({ length: 2 * POINTS }, (_, i) => {
  const angle = (2 * Math.PI * (i >> 1)) / POINTS;
  return i % 2 === 0 ? 20 * Math.cos(angle) : 40 * Math.sin(angle);
});
const STATIONS = 201;
/** What a slant leaves open of the thickness, mm. */
const ASLANT = 0.4;
/** Seen edge-on a wedge, 0 mm thick at the base and 16 at the tip. */
const WEDGE: EdgeOn = {
  y: Float64Array.from({ length: STATIONS }, (_, k) => (80 * k) / (STATIONS - 1)),
  faceA: Float64Array.from({ length: STATIONS }, (_, k) => (8 * k) / (STATIONS - 1)),
  faceB: Float64Array.from({ length: STATIONS }, (_, k) => (-8 * k) / (STATIONS - 1)),
  quality: { pixel: 0, noise: 0, tracing: 0, scale: 0 },
  station: 0,
  slant: 0,
  aslant: { thickness: new Float64Array(STATIONS).fill(ASLANT), middle: new Float64Array(STATIONS) },
};

function seen(edgeOn: EdgeOn, scaleUncertainty = 0) {
  return measured({ ...modelOf({ outer: ELLIPSE }), scaleUncertainty, edgeOn }, DEFAULT_MEASURE_SETTINGS);
}

describe('thickness by a silhouette seen edge-on', () => {
  it('is as uncertain as its slant leaves it, however well the plan is known', () => {
    const row = seen(WEDGE).row('thickness.at.50');
    expect(row.value).toBeCloseTo(8, 9);
    expect(row.u).toBeCloseTo(ASLANT, 3);
  });

  it('has the scale of its own picture, not that of Face A', () => {
    const row = seen({ ...WEDGE, quality: { ...WEDGE.quality, scale: 0.05 } }, 0.002).row('thickness.at.50');
    expect(row.u).toBeCloseTo(Math.hypot(0.4, ASLANT), 3);
    expect(row.components?.scale).toBeUndefined();
    expect(seen(WEDGE, 0.002).row('length').components?.scale).toBeCloseTo(0.16, 6);
    // A ratio of the two has what is its own of either.
    const slim = seen({ ...WEDGE, quality: { ...WEDGE.quality, scale: 0.05 } }).row('width.thickness');
    expect(slim.u! / (slim.value as number)).toBeGreaterThan(0.05);
  });

  it('counts pixels of its own picture, where stations may lie, and what the other side shows', () => {
    const even = ASLANT;
    const grain = seen({ ...WEDGE, quality: { ...WEDGE.quality, noise: 0.3 } }).row('thickness.at.50');
    expect(grain.u).toBeCloseTo(Math.hypot(0.3 * Math.SQRT2, even), 3);
    // A wedge of 16 mm over 80: a millimetre along is 0.2 mm of thickness.
    expect(seen({ ...WEDGE, station: 1 }).row('thickness.at.50').u).toBeCloseTo(Math.hypot(0.2, even), 3);
    const apart = { thickness: new Float64Array(STATIONS).fill(0.7), middle: new Float64Array(STATIONS) };
    expect(seen({ ...WEDGE, apart }).row('thickness.at.50').u).toBeCloseTo(Math.hypot(0.7, even), 3);
  });

  it('knows the bow of the mid-surface no better than a hundredth of the thickness', () => {
    const bowed = { ...WEDGE, faceA: WEDGE.faceA.map((v) => v + 1), faceB: WEDGE.faceB.map((v) => v + 1) };
    const row = seen(bowed, 0.002).row('bow.profile');
    expect(row.value).toBeCloseTo(1, 9);
    expect(row.u).toBeCloseTo(0.16, 9);
    const aslant = { ...WEDGE.aslant, middle: new Float64Array(STATIONS).fill(0.3) };
    expect(seen({ ...bowed, aslant }).row('bow.profile').u).toBeCloseTo(Math.hypot(0.16, 0.3), 9);
  });

  it('gives the whole extent across an axis that is known to a degree', () => {
    const row = seen(WEDGE).row('thickness.box');
    expect(row.value).toBeCloseTo(16, 9);
    // Both extremes lie at the tip: turned about, they move alike.
    expect(row.u).toBeCloseTo(ASLANT, 3);
    const bent = { ...WEDGE, faceA: WEDGE.faceA.toReversed() };
    expect(seen(bent).row('thickness.box').u!).toBeGreaterThan(80 * Math.tan(Math.PI / 180) * 0.8);
  });
});
