import { beforeAll, expect, test } from 'vitest';
import { readScan } from '../../src/intake/readScan.ts';
import { measure } from '../../src/measures/measure.ts';
import type { MeasureResult } from '../../src/measures/types.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { traceScan } from '../../src/trace/traceScan.ts';
import type { Model } from '../../src/trace/types.ts';
import { drawMeasured, drawTraced, pictureField } from '../../workers/drawing.ts';
import type { Drawn, TracedPiece } from '../../workers/messages.ts';
import { humpedPiece, toPly } from '../browser/scans.ts';

let model: Model;
let result: MeasureResult;
let traced: TracedPiece;
let drawn: Drawn;

beforeAll(async () => {
  model = traceScan(readScan(toPly(humpedPiece(16_000)), DEFAULT_SETTINGS.scan), DEFAULT_SETTINGS.trace);
  result = measure(model, DEFAULT_SETTINGS.measure);
  traced = await drawTraced(1, model);
  drawn = drawMeasured(model, result, pictureField(model), traced.mesh);
});

/** Index of the vertex nearest to a place. */
function vertexAt([x, y, z]: readonly [number, number, number]): number {
  const { positions } = traced.mesh;
  let best = 0;
  let least = Infinity;
  for (let i = 0; i < positions.length / 3; i++) {
    const d = (positions[3 * i] - x) ** 2 + (positions[3 * i + 1] - y) ** 2 + (positions[3 * i + 2] - z) ** 2;
    if (d < least) [least, best] = [d, i];
  }
  return best;
}

test('the excess painted at a hump’s peak is its height over the reference, and is small beside it', () => {
  const [hump] = result.humps;
  // Excess is on a grid of about half a millimetre, of means: a peak is a little lower there.
  expect(drawn.excess[vertexAt(hump.peak)]).toBeGreaterThan(0.85 * hump.height);
  expect(drawn.excess[vertexAt(hump.peak)]).toBeLessThan(1.1 * hump.height);
  const known = drawn.excess.filter((value) => !Number.isNaN(value)).sort();
  expect(Math.abs(known[known.length >> 1])).toBeLessThan(0.3);
});

test('the edge angle is painted near the margin, and nowhere else', () => {
  const { edgeAngle } = result.series;
  const angle = edgeAngle.angle as ArrayLike<number>;
  let checked = 0;
  for (let k = 0; k < angle.length; k += 7) {
    if (Number.isNaN(angle[k])) continue;
    const place = [edgeAngle.x[k], edgeAngle.y[k], edgeAngle.z[k]] as [number, number, number];
    const painted = drawn.edgeAngle[vertexAt(place)];
    // Places are a millimetre apart: the nearest vertex may take its colour from a neighbour.
    const near = [angle[k - 1], angle[k], angle[k + 1]].filter(
      (one) => one !== undefined && !Number.isNaN(one),
    );
    expect(painted).toBeGreaterThanOrEqual(Math.min(...near) - 1e-3);
    expect(painted).toBeLessThanOrEqual(Math.max(...near) + 1e-3);
    checked += 1;
  }
  expect(checked).toBeGreaterThan(20);
  expect(drawn.edgeAngle[vertexAt(result.humps[0].peak)]).toBeNaN();
});
