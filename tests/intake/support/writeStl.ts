import type { TriangleMesh } from '../../../src/geometry/types.ts';

/** Binary STL; the 80 bytes before the count begin with `title`. */
export function writeStlBinary({ positions, triangles }: TriangleMesh, title = ''): Uint8Array {
  const numTriangles = triangles.length / 3;
  const bytes = new Uint8Array(84 + 50 * numTriangles);
  bytes.set(new TextEncoder().encode(title.slice(0, 80)));
  const view = new DataView(bytes.buffer);
  view.setUint32(80, numTriangles, true);
  for (let h = 0; h < triangles.length; h++) {
    const at = 84 + 50 * Math.floor(h / 3) + 12 + 12 * (h % 3);
    for (let axis = 0; axis < 3; axis++)
      view.setFloat32(at + 4 * axis, positions[3 * triangles[h] + axis], true);
  }
  return bytes;
}

export function writeStlAscii({ positions, triangles }: TriangleMesh, title = 'test'): Uint8Array {
  const lines = [`solid ${title}`];
  const corner = (h: number): string => {
    const [x, y, z] = [0, 1, 2].map((axis) => Math.fround(positions[3 * triangles[h] + axis]));
    return `      vertex ${x} ${y} ${z}`;
  };
  for (let t = 0; t < triangles.length; t += 3) {
    lines.push(
      '  facet normal 0 0 0',
      '    outer loop',
      corner(t),
      corner(t + 1),
      corner(t + 2),
      '    endloop',
      '  endfacet',
    );
  }
  return new TextEncoder().encode(`${[...lines, `endsolid ${title}`].join('\n')}\n`);
}
