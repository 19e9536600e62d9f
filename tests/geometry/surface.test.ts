import { describe, expect, it } from 'vitest';
import { basisFrom, lineAngle, toBasis, transformMesh } from '../../src/geometry/basis.ts';
import { calmBand } from '../../src/geometry/calmBand.ts';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import { Silhouette } from '../../src/geometry/silhouette.ts';
import { surfaceMoments } from '../../src/geometry/surfaceMoments.ts';
import { surfaceNoise } from '../../src/geometry/surfaceNoise.ts';
import type { Points3, TriangleMesh } from '../../src/geometry/types.ts';
import { vertexNormals } from '../../src/geometry/vertexNormals.ts';
import { splitVolume } from '../../src/geometry/volume.ts';
import { wallHeights } from '../../src/geometry/wallHeights.ts';
import { toScan } from '../accuracy/toScan.ts';
import { createRandom } from '../pieces/random.ts';
import { ellipsoid, hippedBar, prism, ring, tablet } from '../pieces/solids.ts';

const flat = { x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] } as const;

const area = (rim: Points3): number =>
  polygonMoments([Float64Array.from({ length: (2 * rim.length) / 3 }, (_, i) => rim[3 * (i >> 1) + (i & 1)])])
    .area;

function shaken(mesh: TriangleMesh, sigma: number, seed: number): TriangleMesh {
  const normals = vertexNormals(mesh);
  const random = createRandom(seed);
  const positions = Float64Array.from(mesh.positions);
  for (let v = 0; v < positions.length; v += 3) {
    const d = sigma * random.normal();
    for (let k = 0; k < 3; k++) positions[v + k] += d * normals[v + k];
  }
  return { positions, triangles: mesh.triangles };
}

describe('surfaceMoments', () => {
  it('of a box are those of its six faces, far from the origin too', () => {
    const [L, W, T] = [60, 30, 10];
    const box = tablet({ length: L, width: W, thickness: T, triangles: 4000 });
    const far = { positions: box.positions.map((v) => v + 1e5), triangles: box.triangles };
    const { area: a, principal } = surfaceMoments(far);
    expect(a).toBeCloseTo(2 * (L * W + L * T + W * T), 4);
    // ∫z² over the faces: two at ±T/2, four walls with T²/12.
    const zz = (2 * L * W * (T / 2) ** 2 + (2 * (L + W) * T ** 3) / 12) / a;
    expect(principal.values[0]).toBeCloseTo(zz, 5);
    expect(lineAngle(principal.vectors[0], [0, 0, 1])).toBeLessThan(1e-4);
    expect(lineAngle(principal.vectors[2], [0, 1, 0])).toBeLessThan(1e-4);
  });
});

describe('splitVolume', () => {
  it('of an ellipsoid is the cap πab/c²·(c − t)²(2c + t)/3 above z = t', () => {
    const mesh = ellipsoid({ a: 20, b: 40, c: 8, triangles: 80_000 });
    for (const t of [-3, 0, 2.5]) {
      const { above, whole } = splitVolume(mesh, t);
      expect(above / ((Math.PI * 20 * 40 * (8 - t) ** 2 * (16 + t)) / (3 * 64))).toBeCloseTo(1, 3);
      expect(whole / ((4 / 3) * Math.PI * 20 * 40 * 8)).toBeCloseTo(1, 3);
    }
  });
});

describe('surfaceNoise', () => {
  it('reads the noise of a shaken ellipsoid to 15 %, and next to none in a clean one (seed 2)', () => {
    const mesh = ellipsoid({ a: 20, b: 40, c: 12, triangles: 60_000 });
    const { twins } = toScan(mesh);
    expect(surfaceNoise(mesh, twins).noise).toBeLessThan(0.002);
    for (const sigma of [0.01, 0.04]) {
      const found = surfaceNoise(shaken(mesh, sigma, 2), twins).noise / sigma;
      expect(found).toBeGreaterThan(0.85);
      expect(found).toBeLessThan(1.15);
    }
  });
});

describe('Silhouette', () => {
  it('of an ellipsoid is the ellipse πab, in any direction of view the projected one', () => {
    const mesh = ellipsoid({ a: 20, b: 40, c: 8, triangles: 40_000 });
    const scan = toScan(mesh);
    const eye = new Silhouette(scan.mesh, scan.twins);
    for (const z of [
      [0, 0, 1],
      [0.1, 0.05, 1],
      [1, 0.3, 0.2],
      [0, 0, -1],
    ] as const) {
      const basis = basisFrom(z, [0, 1, 0]);
      const { outer, inner } = eye.rings(basis);
      // Area of the shadow of an ellipsoid along a unit vector u: π·√(b²c²u_x² + a²c²u_y² + a²b²u_z²).
      const [ux, uy, uz] = basis.z;
      const exact = Math.PI * Math.hypot(40 * 8 * ux, 20 * 8 * uy, 20 * 40 * uz);
      expect(area(outer) / exact).toBeCloseTo(1, 3);
      expect(inner.length).toBe(0);
    }
  });

  it('of a ring has a hole, clockwise', () => {
    const scan = toScan(ring({ outer: 30, inner: 10, sagitta: 3, triangles: 8000 }));
    const { outer, inner } = new Silhouette(scan.mesh, scan.twins).rings(flat);
    expect(area(outer) / (Math.PI * 900)).toBeCloseTo(1, 2);
    expect(area(inner[0]) / (-Math.PI * 100)).toBeCloseTo(1, 1);
  });

  it('keeps every corner of a notched prism', () => {
    const polygon = Float64Array.of(0, 0, 20, 0, 20, 30, 12, 30, 12, 20, 8, 20, 8, 30, 0, 30);
    const scan = toScan(prism({ polygon, thickness: 6, triangles: 6000 }));
    const { outer } = new Silhouette(scan.mesh, scan.twins).rings(flat);
    expect(area(outer)).toBeCloseTo(20 * 30 - 4 * 10, 3);
  });
});

describe('calmBand', () => {
  it('keeps noise from drawing a blunt rim outward: area within 0.1 % where the raw one is off by more (seed 4)', () => {
    const clean = ellipsoid({ a: 20, b: 40, c: 8, triangles: 100_000 });
    const mesh = shaken(clean, 0.05, 4);
    const { twins } = toScan(clean);
    const raw = new Silhouette(mesh, twins);
    const exact = Math.PI * 20 * 40;
    const off = area(raw.rings(flat).outer) / exact - 1;
    const { noise, meanEdge } = surfaceNoise(mesh, twins);
    const before = Float64Array.from(mesh.positions);
    const { positions, moved } = calmBand(mesh, twins, raw.contour([0, 0, 1]), noise, meanEdge);
    expect(mesh.positions).toEqual(before);
    const calm = area(raw.moved(positions, moved).rings(flat).outer) / exact - 1;
    const afresh = area(new Silhouette({ positions, triangles: mesh.triangles }, twins).rings(flat).outer);
    expect(calm).toBeCloseTo(afresh / exact - 1, 12);
    expect(off).toBeGreaterThan(0.003);
    expect(Math.abs(calm)).toBeLessThan(0.001);
  });

  it('moves no vertex of a clean tablet’s brinks by more than the noise', () => {
    const scan = toScan(tablet({ length: 40, width: 20, thickness: 6, triangles: 20_000 }));
    const tilted = transformMesh(scan.mesh, toBasis(basisFrom([0.1, 0.1, 1], [0, 1, 0]), [0, 0, 0]));
    const eye = new Silhouette(tilted, scan.twins);
    const { positions } = calmBand(tilted, scan.twins, eye.contour([0, 0, 1]), 0.01, 0.4);
    let most = 0;
    positions.forEach((v, i) => {
      most = Math.max(most, Math.abs(v - tilted.positions[i]));
    });
    expect(most).toBeLessThan(0.02);
  });
});

describe('wallHeights', () => {
  it('puts the rim of a box half-way up its walls and leaves a sharp edge alone', () => {
    const box = toScan(tablet({ length: 40, width: 20, thickness: 6, triangles: 20_000 }));
    const eye = new Silhouette(box.mesh, box.twins);
    const rim = eye.rings(flat).outer;
    const mid = wallHeights(box.mesh, eye.walls([0, 0, 1]), flat, rim, 0.8, 1);
    for (let i = 2; i < mid.ring.length; i += 3) expect(Math.abs(mid.ring[i])).toBeLessThan(1e-6);
    for (const half of mid.half) expect(half).toBeCloseTo(3, 6);
    const lens = toScan(ring({ outer: 30, inner: 10, sagitta: 3, triangles: 8000 }));
    const seen = new Silhouette(lens.mesh, lens.twins);
    const edge = seen.rings(flat).outer;
    const same = wallHeights(lens.mesh, seen.walls([0, 0, 1]), flat, edge, 0.8, 1);
    expect(same.ring).toEqual(edge);
    expect(Math.max(...same.half)).toBe(0);
  });

  it.each([0, 0.03])('leaves the edge between a face of 70° and one of 15° alone, noise %f mm', (sigma) => {
    const bar = hippedBar({ length: 60, width: 30, angle: 140, triangles: 40_000 });
    // The lower roof is pressed flat.
    const leaning = { ...bar, positions: bar.positions.map((v, i) => (i % 3 === 2 && v < 0 ? v / 10 : v)) };
    const scan = toScan(sigma > 0 ? shaken(leaning, sigma, 3) : leaning);
    const eye = new Silhouette(scan.mesh, scan.twins);
    const rim = eye.rings(flat).outer;
    const { ring: out } = wallHeights(scan.mesh, eye.walls([0, 0, 1]), flat, rim, 0.8, 1);
    for (let i = 2; i < out.length; i += 3) expect(Math.abs(out[i] - rim[i])).toBeLessThan(0.01);
  });
});
