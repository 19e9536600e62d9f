import { describe, expect, test } from 'vitest';
import { sharpCorners } from '../../src/geometry/closedCurve.ts';
import { addSegment, fitLine, segmentMoments } from '../../src/geometry/totalLeastSquares.ts';
import { computeEdgeAngles, NO_ANGLE } from '../../src/measures/edgeAngles.ts';
import { edgeLine } from '../../src/measures/edgeLine.ts';
import { edgeCutter, edgePlane } from '../../src/measures/edgeSections.ts';
import { DEFAULT_MEASURE_SETTINGS as SETTINGS } from '../../src/measures/settings.ts';
import { createShared } from '../../src/measures/shared.ts';
import { barModel, modelOf } from '../measures/edgeModels.ts';
import { ellipticE } from '../measures/ellipticE.ts';
import { makePiece } from '../pieces/piece.ts';
import { createRandom } from '../pieces/random.ts';
import { askPython } from './python.ts';

test('lines of least squared distance are those of numpy’s singular value decomposition', () => {
  const random = createRandom(41);
  const sets = Array.from({ length: 60 }, () => {
    const slope = random.between(-4, 4);
    return Array.from({ length: 12 }, () =>
      Array.from({ length: 2 }, () => {
        const u = random.between(0, 3);
        return [u, slope * u + random.between(-0.3, 0.3)];
      }).flat(),
    );
  });
  // Two Gauss points a segment carry its moments up to the third degree exactly.
  const answers = askPython<{ direction: number; across: number }[]>(
    `
import numpy as np
out = []
for segments in data:
    s = np.array(segments)
    a, b = s[:, :2], s[:, 2:]
    d = (b - a) / (2 * np.sqrt(3))
    p = np.concatenate([(a + b) / 2 - d, (a + b) / 2 + d])
    w = np.tile(np.hypot(*(b - a).T) / 2, 2)
    centre = (w[:, None] * p).sum(0) / w.sum()
    u, sv, vt = np.linalg.svd(np.sqrt(w)[:, None] * (p - centre))
    out.append({"direction": float(np.arctan2(vt[0, 1], vt[0, 0])), "across": float(sv[1] ** 2 / w.sum())})
print(json.dumps(out))`,
    sets,
  );
  sets.forEach((segments, i) => {
    const moments = segmentMoments();
    for (const [au, aw, bu, bw] of segments) addSegment(moments, au, aw, bu, bw);
    const line = fitLine(moments);
    expect(Math.abs(Math.sin(line.direction - answers[i].direction))).toBeLessThan(1e-9);
    expect(line.across).toBeCloseTo(answers[i].across, 10);
  });
});

test('the length of a winding margin is that of scipy’s elliptic integral', () => {
  const waves = [
    [0.5, 20],
    [1, 15],
    [2, 30],
    [3, 30],
  ];
  const ratios = askPython<{ ratio: number; e: number; m: number }[]>(
    `
import numpy as np
from scipy.special import ellipe
out = []
for a, wavelength in data:
    k = 2 * np.pi * a / wavelength
    m = k * k / (1 + k * k)
    out.append({"ratio": float(2 / np.pi * np.sqrt(1 + k * k) * ellipe(m)), "e": float(ellipe(m)), "m": m})
print(json.dumps(out))`,
    waves,
  );
  waves.forEach(([height, wavelength], i) => {
    expect(ellipticE(ratios[i].m)).toBeCloseTo(ratios[i].e, 13);
    const length = (20 * wavelength) / 0.9;
    const rise = (y: number) => height * Math.sin((2 * Math.PI * (y - 0.05 * length)) / wavelength);
    const model = barModel({
      length,
      edge: 2,
      section: (y) => [
        [12, rise(y)],
        [0, 5],
        [-12, rise(y)],
        [0, -5],
      ],
      margin: (y) => ({ right: [12, rise(y)], left: [-12, rise(y)] }),
    });
    const { values } = edgeLine.compute(model, SETTINGS, createShared(model, SETTINGS));
    expect(Math.abs(Number(values['edge.sinuosity.left'].value) - ratios[i].ratio)).toBeLessThan(0.005);
  });
});

/** Cuts by VTK, followed from the edge and fitted by numpy: one angle for each place from its five planes. */
const CUT_AND_FIT = `
import numpy as np
from vtkmodules.vtkCommonCore import vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPlane, vtkPolyData
from vtkmodules.vtkFiltersCore import vtkCutter
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray, vtk_to_numpy
vertices = np.array(data["positions"]).reshape(-1, 3)
triangles = np.array(data["triangles"]).reshape(-1, 3)
points = vtkPoints()
points.SetData(numpy_to_vtk(vertices, deep=True))
points.SetDataTypeToDouble()
points.SetData(numpy_to_vtk(vertices, deep=True))
cells = vtkCellArray()
cells.SetCells(len(triangles), numpy_to_vtkIdTypeArray(np.c_[np.full(len(triangles), 3), triangles].ravel().astype(np.int64), deep=True))
mesh = vtkPolyData()
mesh.SetPoints(points)
mesh.SetPolys(cells)

def section(plane):
    cut = vtkPlane()
    cut.SetOrigin(*plane[:3])
    cut.SetNormal(*plane[3:6])
    cutter = vtkCutter()
    cutter.SetInputData(mesh)
    cutter.SetCutFunction(cut)
    cutter.GenerateTrianglesOff()
    cutter.Update()
    out = cutter.GetOutput()
    p = vtk_to_numpy(out.GetPoints().GetData()).astype(float) - plane[:3]
    return np.c_[p @ plane[6:9], p @ plane[9:12]], vtk_to_numpy(out.GetLines().GetConnectivityArray()).reshape(-1, 2)

def arms(flat, lines, reach):
    neighbours = {}
    for a, b in lines:
        neighbours.setdefault(a, []).append(b)
        neighbours.setdefault(b, []).append(a)
    a, b = flat[lines[:, 0]], flat[lines[:, 1]]
    d = b - a
    f = np.clip(-(a * d).sum(1) / np.maximum((d * d).sum(1), 1e-300), 0, 1)
    nearest = a + f[:, None] * d
    first = np.argmin((nearest ** 2).sum(1))
    out = []
    for came, here in (lines[first], lines[first][::-1]):
        arm = [nearest[first]]
        while True:
            arm.append(flat[here])
            if np.hypot(*flat[here]) > reach:
                break
            onward = [n for n in neighbours[here] if n != came]
            if not onward:
                break
            came, here = here, onward[0]
        out.append(np.array(arm))
    return sorted(out, key=lambda arm: -arm[-1, 1])

def scatter(arm, inner, outer):
    pieces = []
    for a, b in zip(arm[:-1], arm[1:]):
        n = max(1, int(np.hypot(*(b - a)) / 0.002))
        t = (np.arange(n) + 0.5) / n
        pieces.append(np.c_[a + t[:, None] * (b - a), np.full(n, np.hypot(*(b - a)) / n)])
    p = np.concatenate(pieces)
    r = np.hypot(p[:, 0], p[:, 1])
    beyond = np.nonzero(r > outer)[0]
    p = p[: beyond[0]] if len(beyond) else p
    p = p[np.hypot(p[:, 0], p[:, 1]) > inner]
    w = p[:, 2]
    q = p[:, :2] - (w[:, None] * p[:, :2]).sum(0) / w.sum()
    return (w[:, None] * q).T @ q, p[:, :2].sum(0)

angles = []
for planes in data["places"]:
    sums = [np.zeros((2, 2)), np.zeros((2, 2))]
    towards = [np.zeros(2), np.zeros(2)]
    for plane in planes:
        for k, arm in enumerate(arms(*section(np.array(plane)), data["outer"])):
            s, c = scatter(arm, data["inner"], data["outer"])
            sums[k] += s
            towards[k] += c
    way = []
    for s, c in zip(sums, towards):
        v = np.linalg.eigh(s)[1][:, 1]
        v = v if v @ c > 0 else -v
        way.append(np.arctan2(v[1], v[0]))
    angles.append(float(np.degrees(way[0] - way[1])))
print(json.dumps(angles))`;

describe('edge angles of a winding, scarred piece', () => {
  test('are those of VTK’s cuts fitted by numpy, to 0.05°', () => {
    const piece = makePiece({
      outline: { shape: 'ovate', length: 90, width: 55, waviness: 0.6 },
      seed: 21,
      triangles: 24_000,
      faceA: { height: 9, angle: 40 },
      faceB: { height: 7, angle: 32 },
      winding: {
        left: [{ amplitude: 2, wavelength: 31 }],
        right: [{ amplitude: 1.5, wavelength: 23, phase: 2 }],
      },
      scars: { count: 40, depth: 0.5 },
      noise: { sigma: 0.03, direction: 'normal' },
    });
    const { toFrame, truth } = piece;
    const { positions: p, triangles } = piece.mesh;
    const positions = new Float64Array(p.length);
    for (let i = 0; i < p.length; i += 3) {
      for (let r = 0; r < 3; r++) {
        positions[i + r] =
          toFrame[r] * p[i] + toFrame[4 + r] * p[i + 1] + toFrame[8 + r] * p[i + 2] + toFrame[12 + r];
      }
    }
    const { margin: line, length } = truth.axes.mirror;
    const model = modelOf({ positions, triangles }, line, length, { meanEdge: 0.8, noise: 0.03 });
    const settings = { ...SETTINGS, edgeSpacing: 12, edgeCap: 10 };
    const angles = computeEdgeAngles(model, settings);
    if (model.surface === undefined || model.margin === undefined) throw new Error('no surface');
    const corners = sharpCorners(model.margin, 1, (50 * Math.PI) / 180);
    const cutter = edgeCutter(model.surface, model.margin, corners, 0.8);
    const valid = Array.from(angles.arc.keys()).filter((i) => angles.reason[i] === NO_ANGLE.valid);
    expect(valid.length).toBeGreaterThan(12);
    const places = valid.map((i) =>
      [-0.5, -0.25, 0, 0.25, 0.5].map((d) =>
        Array.from(edgePlane(cutter, angles.arc[i] + d, new Float64Array(12))),
      ),
    );
    const answers = askPython<number[]>(CUT_AND_FIT, {
      positions: Array.from(positions),
      triangles: Array.from(triangles),
      places,
      inner: settings.edgeInner,
      outer: settings.edgeOuter,
    });
    valid.forEach((i, k) => {
      expect(Math.abs(angles.angle[i] - answers[k])).toBeLessThan(0.05);
    });
  });
});
