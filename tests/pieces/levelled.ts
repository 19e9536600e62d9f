import type { Points2 } from '../../src/geometry/types.ts';

/**
 * Takes a plane a + bx + cy off the margin surface so that z and x, z and y are uncorrelated along the 3D margin line and
 * z has mean 0: then z = 0 is that line's total-least-squares plane. Weights are 3D arc length, which the plane changes a
 * little: repeat until nothing is left.
 */
export function levelled(
  raw: (x: number, y: number) => number,
  ring: Points2,
): (x: number, y: number) => number {
  const plane = [0, 0, 0];
  const surface = (x: number, y: number) => raw(x, y) - plane[0] - plane[1] * x - plane[2] * y;
  for (let round = 0; round < 60; round++) {
    const [a, b, c] = regressionAlong(ring, surface);
    plane[0] += a;
    plane[1] += b;
    plane[2] += c;
    if (Math.abs(a) + 100 * (Math.abs(b) + Math.abs(c)) < 1e-12) break;
  }
  return surface;
}

function regressionAlong(p: Points2, z: (x: number, y: number) => number): [number, number, number] {
  const n = p.length / 2;
  const parts = 4;
  let [w, sx, sy, sz, sxx, sxy, syy, sxz, syz] = [0, 0, 0, 0, 0, 0, 0, 0, 0];
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const dx = (p[2 * j] - p[2 * i]) / parts;
    const dy = (p[2 * j + 1] - p[2 * i + 1]) / parts;
    for (let k = 0; k < parts; k++) {
      const x0 = p[2 * i] + k * dx;
      const y0 = p[2 * i + 1] + k * dy;
      const dz = z(x0 + dx, y0 + dy) - z(x0, y0);
      const ds = Math.sqrt(dx * dx + dy * dy + dz * dz);
      const x = x0 + dx / 2;
      const y = y0 + dy / 2;
      const h = z(x, y);
      w += ds;
      sx += ds * x;
      sy += ds * y;
      sz += ds * h;
      sxx += ds * x * x;
      sxy += ds * x * y;
      syy += ds * y * y;
      sxz += ds * x * h;
      syz += ds * y * h;
    }
  }
  const cxx = sxx - (sx * sx) / w;
  const cxy = sxy - (sx * sy) / w;
  const cyy = syy - (sy * sy) / w;
  const cxz = sxz - (sx * sz) / w;
  const cyz = syz - (sy * sz) / w;
  const det = cxx * cyy - cxy * cxy;
  const b = (cxz * cyy - cyz * cxy) / det;
  const c = (cyz * cxx - cxz * cxy) / det;
  return [(sz - b * sx - c * sy) / w, b, c];
}
