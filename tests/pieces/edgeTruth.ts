import type { Heights, PieceField } from './field.ts';

/** Dihedral angle amid edge `index` of the outline, from one-sided slopes just inside it, degrees. */
export function edgeAngleAt(field: PieceField, index: number): number {
  const p = field.domain.points;
  const n = p.length / 2;
  const i = ((index % n) + n) % n;
  const j = (i + 1) % n;
  const [tx, ty] = [p[2 * j] - p[2 * i], p[2 * j + 1] - p[2 * i + 1]];
  const length = Math.hypot(tx, ty);
  const [nx, ny] = [-ty / length, tx / length];
  const [x, y] = [(p[2 * i] + p[2 * j]) / 2, (p[2 * i + 1] + p[2 * j + 1]) / 2];
  const d = 1e-3;
  const h: Heights = { margin: 0, a: 0, b: 0, psi: 0 };
  field.heights(x + d * nx, y + d * ny, h);
  const mn = (h.margin - field.margin(x, y)) / d;
  const mt = (field.margin(p[2 * j], p[2 * j + 1]) - field.margin(p[2 * i], p[2 * i + 1])) / length;
  // Along the edge both faces rise as the margin does; inward they add their own slopes.
  const [sa, sb] = [mn + h.a / d, mn - h.b / d];
  const normalA = [-mt, -sa, 1];
  const normalB = [mt, sb, -1];
  const dot = normalA.reduce((sum, v, k) => sum + v * normalB[k], 0);
  return 180 - (Math.acos(dot / (Math.hypot(...normalA) * Math.hypot(...normalB))) * 180) / Math.PI;
}
