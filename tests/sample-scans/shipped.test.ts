import { describe, expect, test } from 'vitest';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { measure } from '../../src/measures/measure.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/measures/settings.ts';
import { DEFAULT_TRACE_SETTINGS } from '../../src/trace/settings.ts';
import { traceScan } from '../../src/trace/traceScan.ts';
import { bytesOf, drawer, inFrame, scanOf, truthOf } from './shipped.ts';

const MEGABYTE = 1_000_000;

describe('the drawer', () => {
  test('holds at least eight pieces with their own numbers, truths and words', () => {
    expect(drawer.pieces.length).toBeGreaterThanOrEqual(8);
    expect(new Set(drawer.pieces.map((piece) => piece.catalogueNumber)).size).toBe(drawer.pieces.length);
    for (const piece of drawer.pieces)
      expect(truthOf(piece)).toMatchObject({ file: piece.file, unit: piece.unit });
  });

  test('is small enough to be cloned: 1.5 MB a scan, 12 MB together', () => {
    const sizes = drawer.pieces.map((piece) => bytesOf(piece.file));
    expect(Math.max(...sizes)).toBeLessThanOrEqual(1.5 * MEGABYTE);
    const truths = drawer.pieces.map((piece) => bytesOf(piece.truth));
    expect([...sizes, ...truths].reduce((sum, size) => sum + size, 0)).toBeLessThanOrEqual(12 * MEGABYTE);
  });
});

describe.each(drawer.pieces)('$file', (piece) => {
  const scan = scanOf(piece);
  const truth = truthOf(piece);
  const mesh = inFrame(scan, truth);

  test('needs no repair: closed, one piece, outward, a sphere to a topologist', () => {
    expect(scan.closed).toBe(true);
    expect(scan.repair).toMatchObject({
      degenerateDropped: 0,
      duplicateDropped: 0,
      trianglesFlipped: 0,
      componentsFound: 1,
      nonManifoldEdges: 0,
      holesFound: 0,
    });
    const vertices = scan.mesh.positions.length / 3;
    const faces = scan.mesh.triangles.length / 3;
    // Euler's formula with 3F = 2E.
    expect(vertices - faces / 2).toBe(2);
  });

  test('has the volume, length and thickness of its truth', () => {
    // Divergence theorem over the triangles; chords of a curved surface cost the mesh a little of its volume.
    expect(Math.abs(volumeOf(mesh) / truth.values.volume - 1)).toBeLessThan(0.003);
    const [x, y, z] = [0, 1, 2].map((axis) => extent(mesh, axis));
    expect(Math.abs(y.high - truth.values.length)).toBeLessThan(0.05);
    expect(Math.abs(y.low)).toBeLessThan(0.05);
    expect(z.high - z.low).toBeCloseTo(truth.values['thickness.box'], 1);
    expect(x.high - x.low).toBeGreaterThan(truth.values.width - 0.05);
  });

  test('has its margin where the truth says, and the frame as the truth says', () => {
    // The margin runs clockwise on Face A, a polygon of positive area the other way round.
    const plan = new Float64Array(2 * truth.margin.length);
    for (const [i, [x, y]] of truth.margin.toReversed().entries()) plan.set([x, y], 2 * i);
    const moments = polygonMoments([plan]);
    expect(Math.abs(moments.area / truth.values.area - 1)).toBeLessThan(0.002);
    expect(Math.abs(Math.atan2(2 * moments.xy, moments.yy - moments.xx))).toBeLessThan(0.01);
    const mean = truth.margin.reduce((sum, [, , z]) => sum + z, 0) / truth.margin.length;
    expect(Math.abs(mean)).toBeLessThan(0.1);
    expect(farthestFromMesh(truth.margin, mesh)).toBeLessThan(0.75 * meanEdge(mesh) + 0.3);
  });

  test('is thickest on Face A and narrower at its tip', () => {
    expect(truth.values['faces.balance']).toBeGreaterThanOrEqual(50);
    const [base, tip] = [truth.sections[0].width, truth.sections.at(-1)!.width];
    expect(tip).toBeLessThan(base * 1.1);
  });
});

test('from early to late the margin straightens and the piece thins (common practice, no source)', () => {
  const series = ['QT 41/1', 'QT 41/2', 'QT 41/3'].map(
    (number) => truthOf(drawer.pieces.find((piece) => piece.catalogueNumber === number)!).values,
  );
  const wander = series.map((v) => (v['edge.wander.left'] + v['edge.wander.right']) / 2);
  const ratio = series.map((v) => v['width.thickness']);
  const volume = series.map((v) => v.volume);
  for (let k = 1; k < series.length; k++) {
    expect(wander[k]).toBeLessThan(0.8 * wander[k - 1]);
    expect(ratio[k]).toBeGreaterThan(1.2 * ratio[k - 1]);
    expect(volume[k]).toBeLessThan(volume[k - 1]);
  }
});

describe('humps, by what the knapping left', () => {
  const piece = (number: string) => drawer.pieces.find((one) => one.catalogueNumber === number)!;
  const humpsOf = (number: string, settings = DEFAULT_MEASURE_SETTINGS) =>
    measure(traceScan(scanOf(piece(number)), DEFAULT_TRACE_SETTINGS), settings).humps;

  test.each(['QT 41/12', 'QT 41/18'])('%s, arched between concave scars, has none', (number) => {
    expect(truthOf(piece(number)).humps).toEqual([]);
    expect(humpsOf(number)).toEqual([]);
  });

  test('the tallest of the piece that was given up is the one that thinning flakes stopped at', () => {
    const [hump] = truthOf(piece('QT 41/7')).humps;
    expect(humpsOf('QT 41/7')[0].face).toBe(hump.face);
  });

  test('lumps between the deep scars of a preform are relief, and counted only where one asks for them', () => {
    expect(truthOf(piece('QT 41/2')).humps).toEqual([]);
    const all = humpsOf('QT 41/2', { ...DEFAULT_MEASURE_SETTINGS, humpRelief: 0 });
    const humps = humpsOf('QT 41/2');
    expect(all.length).toBeGreaterThan(2 * humps.length);
    // A filter by prominence alone: what stays is what it was.
    for (const hump of humps) expect(all).toContainEqual(hump);
    for (const face of ['A', 'B'] as const) {
      const least = Math.min(...humps.filter((one) => one.face === face).map((one) => one.prominence));
      const stay = all.filter((one) => one.face === face && one.prominence >= least);
      expect(humps.filter((one) => one.face === face)).toHaveLength(stay.length);
    }
  });
});

function volumeOf({ positions: p, triangles: t }: TriangleMesh): number {
  let sum = 0;
  for (let i = 0; i < t.length; i += 3) {
    const [a, b, c] = [3 * t[i], 3 * t[i + 1], 3 * t[i + 2]];
    sum += p[a] * (p[b + 1] * p[c + 2] - p[b + 2] * p[c + 1]);
    sum += p[a + 1] * (p[b + 2] * p[c] - p[b] * p[c + 2]);
    sum += p[a + 2] * (p[b] * p[c + 1] - p[b + 1] * p[c]);
  }
  return sum / 6;
}

function extent({ positions }: TriangleMesh, axis: number): { low: number; high: number } {
  let [low, high] = [Infinity, -Infinity];
  for (let i = axis; i < positions.length; i += 3) {
    low = Math.min(low, positions[i]);
    high = Math.max(high, positions[i]);
  }
  return { low, high };
}

function meanEdge({ positions: p, triangles: t }: TriangleMesh): number {
  let sum = 0;
  for (let i = 0; i < t.length; i++) {
    const [a, b] = [3 * t[i], 3 * t[i % 3 === 2 ? i - 2 : i + 1]];
    sum += Math.hypot(p[a] - p[b], p[a + 1] - p[b + 1], p[a + 2] - p[b + 2]);
  }
  return sum / t.length;
}

/** The greatest distance of a margin point from its nearest mesh vertex; vertices are looked up by 2 mm cells. */
function farthestFromMesh(points: readonly (readonly number[])[], { positions: p }: TriangleMesh): number {
  const key = (x: number, y: number, z: number): string => `${x},${y},${z}`;
  const cell = (c: number): number => Math.floor(c / 2);
  const cells = new Map<string, number[]>();
  for (let i = 0; i < p.length; i += 3) {
    const k = key(cell(p[i]), cell(p[i + 1]), cell(p[i + 2]));
    const list = cells.get(k);
    if (list) list.push(i);
    else cells.set(k, [i]);
  }
  let farthest = 0;
  for (const [x, y, z] of points) {
    let nearest = Infinity;
    for (let k = 0; k < 27; k++) {
      const [dx, dy, dz] = [(k % 3) - 1, (Math.floor(k / 3) % 3) - 1, Math.floor(k / 9) - 1];
      for (const i of cells.get(key(cell(x) + dx, cell(y) + dy, cell(z) + dz)) ?? []) {
        nearest = Math.min(nearest, Math.hypot(p[i] - x, p[i + 1] - y, p[i + 2] - z));
      }
    }
    farthest = Math.max(farthest, nearest);
  }
  return farthest;
}
