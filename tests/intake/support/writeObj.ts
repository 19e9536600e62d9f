export interface ObjSpec {
  /** Count corners back from the last vertex. */
  readonly negative?: boolean;
  /** Form of a corner: `v`, `v/vt`, `v//vn` or `v/vt/vn`. */
  readonly corner?: 'v' | 'v/t' | 'v//n' | 'v/t/n';
  readonly colours?: boolean;
  /** Break every face over two lines with a backslash. */
  readonly continued?: boolean;
  readonly groups?: boolean;
  readonly lineEnd?: string;
}

export function writeObj(
  positions: ArrayLike<number>,
  faces: readonly (readonly number[])[],
  {
    negative = false,
    corner = 'v',
    colours = false,
    continued = false,
    groups = false,
    lineEnd = '\n',
  }: ObjSpec = {},
): Uint8Array {
  const numVertices = positions.length / 3;
  const lines = ['# made for a test', 'mtllib none.mtl'];
  for (let v = 0; v < numVertices; v++) {
    const place = [0, 1, 2].map((axis) => Math.fround(positions[3 * v + axis])).join(' ');
    lines.push(`v ${place}${colours ? ' 0.5 0.25 1' : ''}`);
  }
  lines.push('vt 0 0', 'vn 0 0 1');
  faces.forEach((face, f) => {
    if (groups && f % 5 === 0) lines.push(`g part${f}`, 'usemtl stone', 's off');
    const corners = face.map((v) => {
      const index = negative ? v - numVertices : v + 1;
      return corner.replace('v', String(index)).replace('t', '1').replace('n', '1');
    });
    if (continued) lines.push(`f ${corners[0]} \\`, corners.slice(1).join(' '));
    else lines.push(`f ${corners.join(' ')}`);
  });
  return new TextEncoder().encode(lines.join(lineEnd) + lineEnd);
}
