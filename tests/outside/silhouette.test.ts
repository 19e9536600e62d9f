import { describe, expect, it } from 'vitest';
import { basisFrom, toBasis, transformPoints } from '../../src/geometry/basis.ts';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import { Silhouette } from '../../src/geometry/silhouette.ts';
import { toScan } from '../accuracy/toScan.ts';
import { makePiece } from '../pieces/piece.ts';
import { askPython } from './python.ts';

describe('the silhouette against shapely: union of all projected triangles (python3-shapely)', () => {
  it('agrees in area, perimeter and symmetric difference for a barbed winding piece seen from three sides', () => {
    const { mesh } = makePiece({
      outline: { shape: 'barbed', length: 60, width: 34, waviness: 0.4, bow: 0.5 },
      seed: 5,
      triangles: 4000,
      faceA: { height: 5, angle: 28 },
      faceB: { height: 4, angle: 24 },
      winding: { left: [{ amplitude: 2, wavelength: 20, phase: 0 }], right: [] },
      noise: { sigma: 0.05, direction: 'normal' },
      pose: 'design',
    });
    const scan = toScan(mesh);
    const eye = new Silhouette(scan.mesh, scan.twins);
    for (const z of [
      [0, 0, 1],
      [0.2, 0.1, 1],
      [1, 0, 0.3],
    ] as const) {
      const basis = basisFrom(z, [0, 1, 0]);
      const { outer } = eye.rings(basis);
      const plan = Float64Array.from(
        { length: (2 * outer.length) / 3 },
        (_, i) => outer[3 * (i >> 1) + (i & 1)],
      );
      const seen = transformPoints(scan.mesh.positions, toBasis(basis, [0, 0, 0]));
      const answer = askPython<{ area: number; difference: number }>(
        `
from shapely.geometry import Polygon
from shapely.ops import unary_union
p, t, o = data["points"], data["triangles"], data["outer"]
xy = [(p[i], p[i + 1]) for i in range(0, len(p), 3)]
parts = [Polygon([xy[t[i]], xy[t[i + 1]], xy[t[i + 2]]]) for i in range(0, len(t), 3)]
whole = unary_union([q for q in parts if q.area > 0])
whole = max(whole.geoms, key=lambda g: g.area) if whole.geom_type != "Polygon" else whole
ours = Polygon([(o[i], o[i + 1]) for i in range(0, len(o), 2)]).buffer(0)
print(json.dumps({"area": Polygon(whole.exterior).area, "difference": Polygon(whole.exterior).symmetric_difference(ours).area}))`,
        { points: [...seen], triangles: [...scan.mesh.triangles], outer: [...plan] },
      );
      expect(polygonMoments([plan]).area / answer.area).toBeCloseTo(1, 5);
      expect(answer.difference / answer.area).toBeLessThan(1e-5);
    }
  });
});
