import type { PlanPolygon } from './outlines.ts';
import { createRandom } from './random.ts';

/** Flake-scar texture of one face. */
export interface ScarSpec {
  /** Number of scars on the face. */
  readonly count: number;
  /** Depth of the deepest scar, mm. */
  readonly depth: number;
}

/** Depth (mm, ≥ 0) of the scars at a plan point, before fading toward the margin. */
export type ScarField = (x: number, y: number) => number;

/**
 * Wedge-shaped hollows that run in from the margin, parabolic across, deepest in their inner third, feathered at the end.
 * Where hollows meet, the deeper one wins: the surface keeps a sharp arris between them, as on knapped stone.
 */
export function createScars(spec: ScarSpec, polygon: PlanPolygon, reach: number, seed: number): ScarField {
  const random = createRandom(seed);
  const n = polygon.points.length / 2;
  const c = spec.count;
  const columns = ['x', 'y', 'dx', 'dy', 'length', 'start', 'spread', 'depth', 'cx', 'cy', 'radius'] as const;
  const scar = Object.fromEntries(columns.map((name) => [name, new Float64Array(c)])) as Record<
    (typeof columns)[number],
    Float64Array
  >;
  for (let k = 0; k < c; k++) {
    const i = Math.floor(((k + random.between(0.1, 0.9)) / c) * n) % n;
    const before = 2 * ((i + n - 3) % n);
    const after = 2 * ((i + 3) % n);
    const angle =
      Math.atan2(
        polygon.points[after] - polygon.points[before],
        polygon.points[before + 1] - polygon.points[after + 1],
      ) + random.between(-0.35, 0.35);
    // atan2(tx, −ty) is the direction of the inward normal (−ty, tx) of a counter-clockwise ring.
    scar.x[k] = polygon.points[2 * i];
    scar.y[k] = polygon.points[2 * i + 1];
    scar.dx[k] = Math.cos(angle);
    scar.dy[k] = Math.sin(angle);
    scar.length[k] = reach * random.between(0.5, 1.3);
    scar.start[k] = reach * random.between(0.1, 0.2);
    scar.spread[k] = random.between(0.15, 0.4);
    scar.depth[k] = spec.depth * random.between(0.4, 1);
    scar.cx[k] = scar.x[k] + (scar.dx[k] * scar.length[k]) / 2;
    scar.cy[k] = scar.y[k] + (scar.dy[k] * scar.length[k]) / 2;
    scar.radius[k] = Math.hypot(scar.length[k] / 2, scar.start[k] + scar.spread[k] * scar.length[k]);
  }
  return (x, y) => {
    let deepest = 0;
    for (let k = 0; k < c; k++) {
      const ex = x - scar.cx[k];
      const ey = y - scar.cy[k];
      if (ex * ex + ey * ey > scar.radius[k] * scar.radius[k]) continue;
      const rx = x - scar.x[k];
      const ry = y - scar.y[k];
      const along = rx * scar.dx[k] + ry * scar.dy[k];
      if (along <= 0 || along >= scar.length[k]) continue;
      const across = (ry * scar.dx[k] - rx * scar.dy[k]) / (scar.start[k] + scar.spread[k] * along);
      if (across * across >= 1) continue;
      const t = along / scar.length[k];
      // t²(1−t)²·16 peaks at one in the middle; leaning it outward puts the bulb's hollow nearer to the margin.
      const depth = scar.depth[k] * (1 - across * across) * 6.75 * t * (1 - t) * (1 - t);
      if (depth > deepest) deepest = depth;
    }
    return deepest;
  };
}
