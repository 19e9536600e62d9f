import { describe, expect, test } from 'vitest';
import { thinMesh } from '../../src/geometry/thinMesh.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';

/** A gentle wave over a square of 100 × 100. */
function wave(n: number): TriangleMesh {
  const positions = new Float64Array(3 * (n + 1) * (n + 1));
  const triangles: number[] = [];
  for (let row = 0; row <= n; row++) {
    for (let column = 0; column <= n; column++) {
      const k = row * (n + 1) + column;
      const x = (100 * column) / n;
      const y = (100 * row) / n;
      positions.set([x, y, 3 * Math.sin(x / 15) * Math.cos(y / 12)], 3 * k);
      if (row < n && column < n) triangles.push(k, k + 1, k + n + 1, k + 1, k + n + 2, k + n + 1);
    }
  }
  return { positions, triangles: Uint32Array.from(triangles) };
}

describe('thinning a mesh for display', () => {
  test('within the limit every triangle stays, corner by corner', async () => {
    const mesh = wave(20);
    const { vertices, triangles } = await thinMesh(mesh, 800);
    expect([...triangles].map((k) => vertices[k])).toEqual([...mesh.triangles]);
  });

  test('beyond it about the limit is left, of vertices of the mesh itself, none unused, and the input is untouched', async () => {
    const mesh = wave(120);
    const before = mesh.triangles.slice();
    const { vertices, triangles } = await thinMesh(mesh, 5000);
    expect(mesh.triangles).toEqual(before);
    expect(triangles.length / 3).toBeLessThanOrEqual(5000);
    expect(triangles.length / 3).toBeGreaterThan(2500);
    expect(Math.max(...vertices)).toBeLessThan(mesh.positions.length / 3);
    expect(new Set(vertices).size).toBe(vertices.length);
    expect(new Set(triangles).size).toBe(vertices.length);
  });
});
