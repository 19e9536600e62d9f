import { describe, expect, it } from 'vitest';
import { measure } from '../../src/measures/measure.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/measures/settings.ts';
import { automaticAxes } from '../../src/trace/lengthAxis.ts';
import { DEFAULT_TRACE_SETTINGS } from '../../src/trace/settings.ts';
import { traceScan } from '../../src/trace/traceScan.ts';
import { numberOf } from '../accuracy/compare.ts';
import { toScan } from '../accuracy/toScan.ts';
import type { OutlineShape } from '../pieces/outlines.ts';
import { makePiece } from '../pieces/piece.ts';
import { askPython } from './python.ts';

/** A lopsided scan of a plan shape, with noise and winding. */
function scanned(shape: OutlineShape, seed: number) {
  return toScan(
    makePiece({
      outline: { shape, length: 95, width: 48, bow: 1.2, bulge: 0.06, waviness: 0.4 },
      seed,
      triangles: 30_000,
      faceA: { height: 8, angle: 40 },
      faceB: { height: 6, angle: 34 },
      winding: { left: [{ amplitude: 1, wavelength: 24, phase: 0 }], right: [] },
      noise: { sigma: 0.02, direction: 'normal' },
      pose: 'random',
    }).mesh,
  );
}

describe('the mirror axis against shapely (overlap), scipy (the simplex of Nelder and Mead) and OpenCV (moments)', () => {
  it.each<[OutlineShape, number]>([
    ['ovate', 1],
    ['square-base', 2],
    ['square-base', 3],
    ['triangular', 4],
    ['barbed', 5],
  ])('%s, seed %i: no line that the simplex finds leaves less', (shape, seed) => {
    const ring = traceScan(scanned(shape, seed), DEFAULT_TRACE_SETTINGS).outline.outer;
    const { mirror, principal } = automaticAxes([ring]);
    const answer = askPython<{ own: number; best: number; principal: number }>(
      `
import math
import cv2, numpy as np
from scipy.optimize import minimize
from shapely.affinity import affine_transform
from shapely.geometry import Polygon
xy = np.array(data["ring"]).reshape(-1, 2)
plan = Polygon(xy)
def difference(line):
    # Reflection in the line through offset·(cos a, sin a) along (−sin a, cos a).
    a, offset = line
    n = (math.cos(a), math.sin(a))
    m = [1 - 2 * n[0] * n[0], -2 * n[0] * n[1], -2 * n[0] * n[1], 1 - 2 * n[1] * n[1], 2 * offset * n[0], 2 * offset * n[1]]
    return 1 - plan.intersection(affine_transform(plan, m)).area / plan.area
own = data["mirror"]
def found_from(a, offset):
    simplex = [(a, offset), (a + 0.004, offset), (a, offset + 0.3)]
    options = {"initial_simplex": simplex, "xatol": 1e-6, "fatol": 1e-9, "maxfev": 160}
    return minimize(difference, (a, offset), method="Nelder-Mead", options=options).fun
aside = [(0, 0), (0.003, 0.1), (-0.003, -0.1), (0.03, 0), (-0.03, 0)]
found = [found_from(own[0] + da, own[1] + do) for da, do in aside]
m = cv2.moments(xy.astype(np.float32).reshape(-1, 1, 2))
turn = 0.5 * math.atan2(2 * m["mu11"], m["mu20"] - m["mu02"]) - math.pi / 2
print(json.dumps({"own": difference(own), "best": min(found), "principal": turn}))`,
      { ring: [...ring], mirror: [mirror.angle, mirror.offset] },
    );
    expect(answer.own).toBeLessThan(answer.best + 1e-6);
    // The principal axis has no sense: half a turn is none. OpenCV's moments of a contour are of single precision.
    expect(Math.abs(Math.sin(principal.angle - answer.principal))).toBeLessThan(1e-4);
  });
});

describe('measures of an outline against shapely, numpy and scipy on the same ring', () => {
  it.each<[OutlineShape, number]>([
    ['lanceolate', 6],
    ['side-notched', 7],
  ])('%s, seed %i: area, hull, calipers, widths and overlap', (shape, seed) => {
    const model = traceScan(scanned(shape, seed), DEFAULT_TRACE_SETTINGS);
    const result = measure(model, DEFAULT_MEASURE_SETTINGS);
    const answer = askPython<Record<string, number>>(
      `
import numpy as np
from scipy.spatial import ConvexHull
from scipy.spatial.distance import pdist
from shapely.affinity import scale
from shapely.geometry import LineString, Polygon
xy = np.array(data["ring"]).reshape(-1, 2)
plan = Polygon(xy)
hull = xy[ConvexHull(xy).vertices]
edges = np.roll(hull, -1, axis=0) - hull
normals = np.c_[-edges[:, 1], edges[:, 0]] / np.hypot(*edges.T)[:, None]
low, high = xy[:, 1].min(), xy[:, 1].max()
out = {
  "length": high - low,
  "area": plan.area,
  "solidity": plan.area / plan.convex_hull.area,
  "feret.max": pdist(hull).max(),
  "feret.min": np.ptp(normals @ hull.T, axis=1).min(),
  "symmetry.overlap": 100 * plan.intersection(scale(plan, -1, 1, origin=(0, 0))).area / plan.area,
}
for station in (10, 25, 50, 75, 90):
    y = low + (high - low) * station / 100
    x = plan.intersection(LineString([(-1e3, y), (1e3, y)])).bounds
    out[f"width.at.{station}"] = x[2] - x[0]
print(json.dumps(out))`,
      { ring: [...model.outline.outer] },
    );
    for (const [id, value] of Object.entries(answer)) {
      expect(Math.abs(numberOf(result, id) / value - 1), id).toBeLessThan(1e-6);
    }
  });
});
