import { describe, expect, test } from 'vitest';
import { vertexNormals } from '../../src/geometry/vertexNormals.ts';

describe('vertex normals', () => {
  test('on a sphere they are the radii', () => {
    const rows = 60;
    const columns = 120;
    const positions: number[] = [];
    const triangles: number[] = [];
    for (let r = 0; r <= rows; r++) {
      for (let c = 0; c < columns; c++) {
        const polar = (Math.PI * (r + 0.5)) / (rows + 1);
        const round = (2 * Math.PI * c) / columns;
        positions.push(
          5 * Math.sin(polar) * Math.cos(round),
          5 * Math.sin(polar) * Math.sin(round),
          5 * Math.cos(polar),
        );
        if (r === rows) continue;
        const a = r * columns + c;
        const b = r * columns + ((c + 1) % columns);
        triangles.push(a, a + columns, b, b, a + columns, b + columns);
      }
    }
    const normals = vertexNormals({
      positions: Float64Array.from(positions),
      triangles: Uint32Array.from(triangles),
    });
    // Away from the open rims at the poles, where triangles lie on one side only.
    for (let i = columns * 3; i < positions.length - columns * 3; i += 3) {
      const along =
        (normals[i] * positions[i] + normals[i + 1] * positions[i + 1] + normals[i + 2] * positions[i + 2]) /
        5;
      expect(along).toBeGreaterThan(0.9995);
    }
  });

  test('a vertex without area has none', () => {
    const positions = Float64Array.from([0, 0, 0, 1, 0, 0, 0, 1, 0, 9, 9, 9]);
    const normals = vertexNormals({ positions, triangles: Uint32Array.from([0, 1, 2]) });
    expect([...normals]).toEqual([0, 0, 1, 0, 0, 1, 0, 0, 1, 0, 0, 0]);
  });
});
