import type { Points2 } from '../../src/geometry/types.ts';
import { longestAxis, mirrorAxis, moments, type PlanAxis, principalAxis } from './axes.ts';
import { type AxisTruth, createAxisTruth, type TruthAxis } from './axisTruth.ts';
import { edgeAngleAt } from './edgeTruth.ts';
import type { Heights, HumpSpec, PieceField } from './field.ts';
import type { Pose } from './pose.ts';
import { integrate, once } from './quadrature.ts';

/** Everything that is exact about a piece. Specimen frame, mm, noise-free surface. */
export interface PieceTruth {
  /** Plan area, mm². */
  readonly area: number;
  /** Perimeter of the polygon, without smoothing, mm. */
  readonly perimeter: number;
  /** mm³. */
  readonly volume: number;
  /** mm² and mm³ with a chosen number of quadrature lines and points, to show convergence. */
  volumeBy(lines: number, points: number): number;
  /** Normal of the margin plane in scan coordinates, unit length, out of Face A. */
  readonly normal: readonly [number, number, number];
  /** Dihedral angle of the two faces at the very edge (degrees), amid edge `index` of the outline polygon. */
  edgeAngleAt(index: number): number;
  readonly axes: Readonly<Record<TruthAxis, AxisTruth>>;
}

export function createTruth(field: PieceField, humps: readonly HumpSpec[], pose: Pose): PieceTruth {
  const polygon = field.domain.points;
  const n = polygon.length / 2;
  const h: Heights = { margin: 0, a: 0, b: 0, psi: 0 };
  let perimeter = 0;
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    perimeter += Math.hypot(polygon[2 * j] - polygon[2 * i], polygon[2 * j + 1] - polygon[2 * i + 1]);
  }
  /** The whole volume and its part above the margin plane on the design frame's +z side. */
  const volumes = (lines: number, points: number) => {
    let above = 0;
    const whole = integrate(polygon, lines, points, (x, y, weight) => {
      field.heights(x, y, h);
      above += weight * (Math.max(0, h.margin + h.a) - Math.max(0, h.margin - h.b));
      return h.a + h.b;
    });
    return { whole, above };
  };
  // 500 × 100 points leave less than 1e-5 of the volume, also with scars and round edges.
  const settled = once(() => volumes(500, 100));
  const upper = once(() => settled().above * 2 >= settled().whole);
  const axisTruth = (id: TruthAxis, find: (p: Points2) => PlanAxis) =>
    once(() =>
      createAxisTruth(id, find(polygon), {
        field,
        humps,
        pose,
        up: upper(),
        share: settled().above / settled().whole,
      }),
    );
  const mirror = axisTruth('mirror', mirrorAxis);
  const principal = axisTruth('principal', principalAxis);
  const longest = axisTruth('longest', longestAxis);
  return {
    area: moments(polygon).area,
    perimeter,
    get volume() {
      return settled().whole;
    },
    volumeBy: (lines, points) => volumes(lines, points).whole,
    get normal() {
      const sign = upper() ? 1 : -1;
      const r = pose.rotation;
      return [sign * r[2], sign * r[5], sign * r[8]] as const;
    },
    edgeAngleAt: (index) => edgeAngleAt(field, index),
    axes: {
      get mirror() {
        return mirror();
      },
      get principal() {
        return principal();
      },
      get longest() {
        return longest();
      },
    },
  };
}
