import { describe, expect, test } from 'vitest';
import { cobble } from '../../sample-scans/generate/blank.ts';
import {
  cross,
  flipEdge,
  next,
  pairEdges,
  previous,
  splitEdge,
  triangleGrid,
} from '../../sample-scans/generate/planMesh.ts';
import { createRandom } from '../../sample-scans/generate/random.ts';
import { knapRound, type Round } from '../../sample-scans/generate/round.ts';
import { Stone } from '../../sample-scans/generate/stone.ts';

const ROUND: Round = {
  form: { length: 80, width: 50, base: 0.5, tip: 0.6 },
  faces: [9, 9],
  spacing: 12,
  order: 'alternate',
  reach: [0.4, 0.6],
  width: [14, 20],
  thickest: 4,
  thinnest: 0.5,
  bite: 4,
};

function volumeOn(stone: Stone): number {
  let sum = 0;
  for (let x = -40; x <= 40; x += 0.5) {
    for (let y = -50; y <= 50; y += 0.5) sum += 0.25 * Math.max(0, stone.thickness(x, y));
  }
  return sum;
}

describe('knapping', () => {
  const rough = new Stone(cobble({ length: 90, width: 60, thickness: 30 }, 5));
  const worked = rough.copy();
  knapRound(worked, ROUND, 1);

  test('takes stone off, never puts any on', () => {
    expect(worked.removalCount(0) + worked.removalCount(1)).toBeGreaterThan(6);
    expect(volumeOn(worked)).toBeLessThan(0.97 * volumeOn(rough));
    for (let x = -30; x <= 30; x += 3) {
      for (let y = -40; y <= 40; y += 3) {
        for (const face of [0, 1] as const) {
          expect(worked.height(face, x, y)).toBeLessThanOrEqual(rough.height(face, x, y) + 1e-12);
        }
      }
    }
  });

  test('leaves the copy that it was made from alone', () => {
    expect(rough.removalCount(0) + rough.removalCount(1)).toBe(0);
  });

  test('goes the same way with the same seed, another way with another', () => {
    const [again, other] = [rough.copy(), rough.copy()];
    knapRound(again, ROUND, 1);
    knapRound(other, ROUND, 2);
    expect(volumeOn(again)).toBe(volumeOn(worked));
    expect(volumeOn(other)).not.toBe(volumeOn(worked));
  });

  test('leaves no cliffs: next to each other, heights stay close', () => {
    const step = 0.01;
    let steepest = 0;
    for (let x = -24; x <= 24; x += 0.37) {
      for (let y = -36; y <= 36; y += 0.37) {
        if (worked.thickness(x, y) < 1) continue;
        const rise = Math.abs(worked.height(0, x + step, y) - worked.height(0, x, y));
        steepest = Math.max(steepest, rise / step);
      }
    }
    expect(steepest).toBeLessThan(12);
  });
});

describe('the plan mesh', () => {
  test('stays a mesh when edges are split and turned at random', () => {
    const random = createRandom(7);
    const mesh = triangleGrid({ x0: 0, y0: 0, x1: 10, y1: 10 }, 1);
    const area = (): number => {
      let sum = 0;
      for (let h = 0; h < mesh.tri.length; h += 3)
        sum += cross(mesh, mesh.tri[h], mesh.tri[h + 1], mesh.tri[h + 2]);
      return sum;
    };
    const before = area();
    for (let k = 0; k < 400; k++) {
      const h = Math.floor(random.between(0, mesh.tri.length));
      const [a, b] = [mesh.tri[h], mesh.tri[next(h)]];
      const g = mesh.twin[h];
      if (k % 2 === 0) splitEdge(mesh, h, (mesh.x[a] + mesh.x[b]) / 2, (mesh.y[a] + mesh.y[b]) / 2);
      else if (g >= 0) {
        const [c, d] = [mesh.tri[previous(h)], mesh.tri[previous(g)]];
        if (cross(mesh, a, d, c) > 1e-9 && cross(mesh, b, c, d) > 1e-9) flipEdge(mesh, h);
      }
    }
    expect(area()).toBeCloseTo(before, 9);
    expect(mesh.twin).toEqual(pairEdges(mesh.tri, mesh.x.length));
  });
});
