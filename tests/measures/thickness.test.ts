import { describe, expect, it } from 'vitest';
import type { Points2, TriangleMesh } from '../../src/geometry/types.ts';
import { withNoise } from '../pieces/pose.ts';
import { createRandom } from '../pieces/random.ts';
import { ellipsoid, lensBar, prism, tablet } from '../pieces/solids.ts';
import { ellipse, type ModelSpec, measured, modelOf, points, rectangle } from './support/model.ts';

const near = (value: number, truth: number, relative: number): void => {
  expect(Math.abs(value - truth)).toBeLessThanOrEqual(relative * Math.abs(truth));
};

const [A, B, C] = [20, 45, 6];
const ball: ModelSpec = {
  outer: ellipse(A, B).map((v, i) => (i % 2 ? v + B : v)),
  mesh: ellipsoid({ a: A, b: B, c: C, triangles: 120_000 }),
  meanEdge: 0.35,
};

/** The mesh with every height changed by a function of the plan. */
function lifted(mesh: TriangleMesh, by: (x: number, y: number) => number): TriangleMesh {
  const positions = Float64Array.from(mesh.positions);
  for (let i = 0; i < positions.length; i += 3) positions[i + 2] += by(positions[i], positions[i + 1]);
  return { positions, triangles: mesh.triangles };
}

/** Without the triangles whose middle in plan lies within a circle, on one face. */
function holed(mesh: TriangleMesh, x: number, y: number, radius: number, side: 1 | -1): TriangleMesh {
  const { positions: p, triangles } = mesh;
  const kept: number[] = [];
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => 3 * triangles[t + k]);
    const dx = (p[a] + p[b] + p[c]) / 3 - x;
    const dy = (p[a + 1] + p[b + 1] + p[c + 1]) / 3 - y;
    const up = (p[b] - p[a]) * (p[c + 1] - p[a + 1]) - (p[c] - p[a]) * (p[b + 1] - p[a + 1]);
    if (dx * dx + dy * dy < radius * radius && up * side > 0) continue;
    kept.push(triangles[t], triangles[t + 1], triangles[t + 2]);
  }
  return { positions: p, triangles: Uint32Array.from(kept) };
}

/** A bar of rhombic section whose crests and margins are lines of mesh edges; caps are fans round the axis. */
function rhombicBar(width: number, length: number, height: number): TriangleMesh {
  const [perSide, rows] = [40, 200];
  const corners = [
    [width / 2, 0],
    [0, height],
    [-width / 2, 0],
    [0, -height],
  ];
  const section = corners.flatMap(([x, z], i) => {
    const [toX, toZ] = corners[(i + 1) % 4];
    return Array.from({ length: perSide }, (_, k) => [
      x + ((toX - x) * k) / perSide,
      z + ((toZ - z) * k) / perSide,
    ]);
  });
  const n = section.length;
  const positions: number[] = [];
  for (let r = 0; r <= rows; r++) for (const [x, z] of section) positions.push(x, (length * r) / rows, z);
  positions.push(0, 0, 0, 0, length, 0);
  const [base, tip] = [n * (rows + 1), n * (rows + 1) + 1];
  const triangles: number[] = [];
  for (let k = 0; k < n; k++) {
    const next = (k + 1) % n;
    for (let r = 0; r < rows; r++) {
      const [a, b] = [r * n + k, r * n + next];
      triangles.push(a, a + n, b, b, a + n, b + n);
    }
    triangles.push(base, k, next, tip, rows * n + next, rows * n + k);
  }
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
}

describe('thickness, closed forms', () => {
  it('of an ellipsoid', () => {
    const m = measured(ball);
    near(m.of('thickness'), 2 * C, 1e-4);
    near(m.of('thickness.box'), 2 * C, 1e-4);
    near(m.of('thickness.station'), 50, 0.02);
    expect(Math.abs(m.of('thickness.offset'))).toBeLessThan(0.5);
    near(m.of('volume'), (4 / 3) * Math.PI * A * B * C, 1e-3);
    near(m.of('thickness.mean'), (4 / 3) * C, 1e-3);
    near(m.of('width.thickness'), A / C, 1e-4);
    near(m.of('faces.balance'), 50, 1e-4);
    for (const station of [10, 20, 30, 40, 50, 60, 70, 80, 90]) {
      near(m.of(`thickness.at.${station}`), 2 * C * Math.sqrt(1 - (station / 50 - 1) ** 2), 1e-3);
    }
    expect(m.of('bow.profile')).toBeLessThan(0.01);
    // Knud Thomsen's formula (memory) is good to 1.1 %.
    const p = 1.6075;
    const surface = 4 * Math.PI * (((A * B) ** p + (A * C) ** p + (B * C) ** p) / 3) ** (1 / p);
    near(m.of('surface'), surface, 0.012);
  });

  it('of a rhombic bar: the crest between cells is found', () => {
    const [length, width, angle] = [80, 37, 40];
    const mesh = rhombicBar(width, length, (width / 2) * Math.tan((angle * Math.PI) / 360));
    // Moved sideways, so that the crest runs between columns of the map wherever these lie.
    for (const shift of [0, 0.03, 0.06, 0.11]) {
      const positions = mesh.positions.map((v, i) => (i % 3 === 0 ? v + shift : v));
      const m = measured({
        outer: rectangle(width, length, shift),
        mesh: { positions, triangles: mesh.triangles },
        meanEdge: 0.3,
      });
      const t = width * Math.tan((angle * Math.PI) / 360);
      near(m.of('thickness'), t, 2e-3);
      near(m.of('thickness.at.50'), t, 2e-3);
      near(m.of('volume'), (length * width * t) / 2, 1e-3);
    }
  });

  it('of a lens bar and a tablet', () => {
    const lens = measured({
      outer: rectangle(40, 90),
      mesh: lensBar({ length: 90, width: 40, sagitta: 5, triangles: 60_000 }),
      meanEdge: 0.4,
    });
    near(lens.of('thickness'), 10, 1e-3);
    const flat = measured({
      outer: rectangle(30, 50),
      mesh: tablet({ length: 50, width: 30, thickness: 8, triangles: 8000 }),
      meanEdge: 0.8,
    });
    near(flat.of('thickness'), 8, 1e-6);
    near(flat.of('volume'), 12_000, 1e-9);
    near(flat.of('surface'), 2 * (1500 + 400 + 240), 1e-9);
    near(flat.of('thickness.mean'), 8, 1e-9);
  });

  it('of a prism over any plan: volume is area times height', () => {
    const plan: Points2 = points([-12, 0], [10, 0], [18, 30], [4, 70], [0, 52], [-15, 40]);
    const m = measured({
      outer: plan,
      mesh: prism({ polygon: plan, thickness: 7, triangles: 20_000 }),
      meanEdge: 0.5,
    });
    near(m.of('volume'), 7 * m.of('area'), 1e-6);
    near(m.of('thickness.box'), 7, 1e-9);
  });

  it('a bent piece has its bow, whatever its thickness; no tilt adds to it', () => {
    const sag = 2.5;
    const bend = (_x: number, y: number) => sag * (1 - (y / B - 1) ** 2) + 0.01 * y;
    const bent = { ...ball, mesh: lifted(ball.mesh as TriangleMesh, bend), margin: bend };
    near(measured(bent).of('bow.profile'), sag, 0.02);
    near(measured(bent).of('thickness'), 2 * C, 1e-3);
  });

  it('a winding margin counts for the jaws where it stands out beyond thin faces', () => {
    const wind = (x: number) => 0.5 * x;
    const wound = { ...ball, mesh: lifted(ball.mesh as TriangleMesh, wind), margin: wind };
    // z = x/2 ± C√(1 − x²/A²) reaches √(C² + A²/4).
    near(measured(wound).of('thickness.box'), 2 * Math.hypot(C, A / 2), 2e-3);
    near(measured(wound).of('thickness'), 2 * C, 1e-3);
  });

  it('noise does not pull the greatest thickness up', () => {
    const sigma = 0.05;
    const errors: number[] = [];
    const raw: number[] = [];
    for (let seed = 1; seed <= 5; seed++) {
      const mesh = withNoise(ball.mesh as TriangleMesh, { sigma, direction: 'normal' }, createRandom(seed));
      const m = measured({ ...ball, mesh, noise: sigma });
      errors.push(m.of('thickness') - 2 * C);
      const map = m.thicknessMap!;
      raw.push(map.faceA.reduce((most, z, k) => Math.max(most, z - map.faceB[k] || 0), 0) - 2 * C);
      expect(Math.abs(m.of('thickness') - 2 * C)).toBeLessThan(0.05);
      expect(Math.abs(m.of('thickness.at.30') - 2 * C * Math.sqrt(1 - 0.16))).toBeLessThan(0.05);
      expect(Math.abs(m.of('thickness.box') - 2 * C)).toBeLessThan(0.06);
      near(m.of('volume'), (4 / 3) * Math.PI * A * B * C, 1e-3);
    }
    expect(Math.min(...raw)).toBeGreaterThan(0.1);
    expect(errors.some((e) => e < 0.02)).toBe(true);
  });

  it('an open scan is bridged over its holes, with a warning, to 0.1 % of the volume', () => {
    const whole = measured(ball);
    for (const side of [1, -1] as const) {
      const open = modelOf({ ...ball, mesh: holed(ball.mesh as TriangleMesh, 4, 50, 4, side) });
      expect(open.surface?.closed).toBe(false);
      const m = measured(open);
      expect(m.warnings.map(({ code }) => code)).toContain('open-surface');
      near(m.of('volume'), whole.of('volume'), 1e-3);
      near(m.of('faces.balance'), 50, 2e-3);
      near(m.of('thickness'), 2 * C, 0.01);
      expect(m.row('volume').u).toBeGreaterThan(whole.row('volume').u as number);
    }
    // The rim of an ellipsoid is round, which is all that is told of it.
    expect(whole.warnings.map(({ code }) => code)).toEqual(['edge-rounded']);
  });

  it('an outline alone says that it needs faces', () => {
    const m = measured({ outer: ellipse(20, 45) });
    for (const id of ['thickness', 'volume', 'bow.profile', 'faces.balance', 'section.50.area']) {
      expect(m.row(id).value).toBeNull();
      expect(m.row(id).reason).toContain('faces');
    }
  });

  it('gives the series along the stations', () => {
    const { thickness } = measured(ball).series as Record<string, Record<string, Float64Array>>;
    expect(thickness.station.length).toBe(201);
    for (let k = 20; k <= 180; k += 20) {
      const share = Math.sqrt(1 - (k / 100 - 1) ** 2);
      near(thickness.greatest[k], 2 * C * share, 5e-3);
      near(thickness.midline[k], 2 * C * share, 5e-3);
      near(thickness.area[k], Math.PI * A * C * share * share, 2e-3);
      near(thickness.widthThickness[k], A / C, 5e-3);
    }
  });
});

describe('thickness, properties', () => {
  const noisy = (mesh: TriangleMesh) =>
    withNoise(mesh, { sigma: 0.03, direction: 'normal' }, createRandom(5));
  const egg: ModelSpec = {
    ...ball,
    mesh: lifted(ball.mesh as TriangleMesh, (x, y) => 0.02 * x + 0.5 * Math.sin(y / 9)),
    noise: 0.03,
  };
  const flipped = ({ positions, triangles }: TriangleMesh, axis: number): TriangleMesh => ({
    positions: positions.map((v, i) => (i % 3 === axis ? -v : v)),
    triangles: triangles.map((_, i) => triangles[i % 3 === 1 ? i + 1 : i % 3 === 2 ? i - 1 : i]),
  });
  const mesh = noisy(egg.mesh as TriangleMesh);
  const ids = [
    'thickness',
    'thickness.box',
    'thickness.mean',
    'volume',
    'surface',
    'bow.profile',
    'section.40.area',
    'section.40.thickness',
    'width.thickness',
  ];

  it('turning it over swaps the faces and changes nothing else', () => {
    const a = measured({ ...egg, mesh });
    const b = measured({ ...egg, mesh: flipped(mesh, 2) });
    for (const id of ids) near(b.of(id), a.of(id), 2e-3);
    near(b.of('faces.balance'), 100 - a.of('faces.balance'), 1e-6);
    near(b.of('section.40.faces'), 100 - a.of('section.40.faces'), 1e-6);
  });

  it('mirroring it left to right changes nothing but the sign of the offset', () => {
    const a = measured({ ...egg, mesh });
    const b = measured({ ...egg, mesh: flipped(mesh, 0) });
    for (const id of ids) near(b.of(id), a.of(id), 2e-3);
    expect(b.of('thickness.offset')).toBeCloseTo(-a.of('thickness.offset'), 0);
  });

  it('scaling follows the power of each row', () => {
    const k = 2;
    const a = measured({ ...egg, mesh }, { mapCell: 0.2, perimeterScale: 0.5 });
    const b = measured(
      {
        ...egg,
        outer: egg.outer.map((v) => k * v),
        mesh: { positions: mesh.positions.map((v) => k * v), triangles: mesh.triangles },
        noise: 0.06,
        meanEdge: 0.7,
      },
      { mapCell: 0.4, perimeterScale: 1 },
    );
    for (const row of a.measurements) {
      if (!ids.includes(row.id)) continue;
      const power = { mm: 1, mm2: 2, mm3: 3 }[row.unit as string] ?? 0;
      near(b.of(row.id), a.of(row.id) * k ** power, 1e-6);
    }
  });
});
