import type { TriangleMesh } from '../../../src/geometry/types.ts';

/**
 * A closed lens-shaped solid: a grid sphere of `rings` × `segments` with half-axes a, b, c, outward, welded.
 * 2 · segments · (rings − 1) triangles.
 */
export function ellipsoid(
  rings: number,
  segments: number,
  [a, b, c]: readonly [number, number, number],
): TriangleMesh {
  const numVertices = (rings - 1) * segments + 2;
  const positions = new Float64Array(3 * numVertices);
  const triangles = new Uint32Array(6 * segments * (rings - 1));
  let p = 0;
  const put = (x: number, y: number, z: number): void => {
    positions[p++] = a * x;
    positions[p++] = b * y;
    positions[p++] = c * z;
  };
  put(0, 0, 1);
  for (let r = 1; r < rings; r++) {
    const polar = (Math.PI * r) / rings;
    for (let s = 0; s < segments; s++) {
      const turn = (2 * Math.PI * s) / segments;
      put(Math.sin(polar) * Math.cos(turn), Math.sin(polar) * Math.sin(turn), Math.cos(polar));
    }
  }
  put(0, 0, -1);
  let t = 0;
  const face = (i: number, j: number, k: number): void => {
    triangles[t++] = i;
    triangles[t++] = j;
    triangles[t++] = k;
  };
  const at = (r: number, s: number): number => 1 + (r - 1) * segments + (s % segments);
  for (let s = 0; s < segments; s++) {
    face(0, at(1, s), at(1, s + 1));
    for (let r = 1; r < rings - 1; r++) {
      face(at(r, s), at(r + 1, s), at(r + 1, s + 1));
      face(at(r, s), at(r + 1, s + 1), at(r, s + 1));
    }
    face(numVertices - 1, at(rings - 1, s + 1), at(rings - 1, s));
  }
  return { positions, triangles };
}

/** An ellipsoid the size of a biface (mm), 2 · 24 · 15 triangles: large enough for a plausible unit, quick to read. */
export function pebble(): TriangleMesh {
  return ellipsoid(16, 24, [28, 60, 11]);
}

/** A box as six quads, outward; mm. */
export function box([a, b, c]: readonly [number, number, number]): {
  positions: Float64Array;
  faces: number[][];
} {
  const positions = new Float64Array(24);
  for (let v = 0; v < 8; v++) positions.set([v & 1 ? a : 0, v & 2 ? b : 0, v & 4 ? c : 0], 3 * v);
  const faces = [
    [0, 2, 3, 1],
    [4, 5, 7, 6],
    [0, 1, 5, 4],
    [2, 6, 7, 3],
    [0, 4, 6, 2],
    [1, 3, 7, 5],
  ];
  return { positions, faces };
}

export function facesOf({ triangles }: TriangleMesh): number[][] {
  return Array.from({ length: triangles.length / 3 }, (_, t) =>
    Array.from(triangles.subarray(3 * t, 3 * t + 3)),
  );
}

export function meshOf(positions: ArrayLike<number>, faces: readonly (readonly number[])[]): TriangleMesh {
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(faces.flat()) };
}

/** Several meshes in one, their vertices apart. */
export function together(...meshes: readonly TriangleMesh[]): TriangleMesh {
  const positions: number[] = [];
  const triangles: number[] = [];
  for (const mesh of meshes) {
    const start = positions.length / 3;
    for (const value of mesh.positions) positions.push(value);
    for (const index of mesh.triangles) triangles.push(start + index);
  }
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
}

export function moved(
  mesh: TriangleMesh,
  factor: number,
  shift: readonly [number, number, number] = [0, 0, 0],
): TriangleMesh {
  return {
    positions: mesh.positions.map((value, i) => value * factor + shift[i % 3]),
    triangles: mesh.triangles,
  };
}

/** With the winding of the triangles that `which` names turned round. */
export function turned(mesh: TriangleMesh, which: (t: number) => boolean): TriangleMesh {
  const triangles = mesh.triangles.slice();
  for (let t = 0; t < triangles.length / 3; t++) {
    if (which(t)) triangles.subarray(3 * t + 1, 3 * t + 3).reverse();
  }
  return { positions: mesh.positions, triangles };
}

/** Without the triangles that `which` names. */
export function without(mesh: TriangleMesh, which: (t: number) => boolean): TriangleMesh {
  const triangles = mesh.triangles.filter((_, h) => !which(Math.floor(h / 3)));
  return { positions: mesh.positions, triangles };
}

/** Enclosed volume by the divergence theorem about the origin. */
export function volumeOf({ positions: p, triangles }: TriangleMesh): number {
  let sum = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [triangles[t] * 3, triangles[t + 1] * 3, triangles[t + 2] * 3];
    sum +=
      p[a] * (p[b + 1] * p[c + 2] - p[b + 2] * p[c + 1]) +
      p[a + 1] * (p[b + 2] * p[c] - p[b] * p[c + 2]) +
      p[a + 2] * (p[b] * p[c + 1] - p[b + 1] * p[c]);
  }
  return sum / 6;
}

/**
 * Each triangle as its corners' coordinates (single precision), turned so that the least corner comes first, all
 * sorted: equal for two meshes exactly if they are the same surface with the same winding.
 */
export function surfaceKey({ positions, triangles }: TriangleMesh): string[] {
  const place = (v: number): string =>
    [0, 1, 2].map((axis) => (Math.fround(positions[3 * v + axis]) + 0).toExponential(8)).join(' ');
  const keys: string[] = [];
  for (let t = 0; t < triangles.length; t += 3) {
    const corners = [place(triangles[t]), place(triangles[t + 1]), place(triangles[t + 2])];
    const least = corners.indexOf(corners.slice().sort()[0]);
    keys.push([...corners.slice(least), ...corners.slice(0, least)].join(' | '));
  }
  return keys.sort();
}
