import type { Points3 } from '../../src/geometry/types.ts';
import { next, type PlanMesh } from './planMesh.ts';
import { ontoZero } from './roots.ts';
import type { Stone } from './stone.ts';

/**
 * The margin as a closed line x y z, counter-clockwise seen on Face A, points at most `step` mm apart and each on the true
 * margin (thickness zero) to about 1e-9 mm. The plan's own boundary gives the order, the stone the place.
 */
export function marginRing(stone: Stone, domain: PlanMesh, step: number): Points3 {
  const plan: number[] = [];
  const corners = boundaryLoop(domain);
  for (let i = 0; i < corners.length; i++) {
    const a = corners[i];
    const b = corners[(i + 1) % corners.length];
    subdivide(stone, plan, domain.x[a], domain.y[a], domain.x[b], domain.y[b], step, 12);
  }
  const ring = new Float64Array((plan.length / 2) * 3);
  for (let i = 0; i < plan.length / 2; i++) {
    const [x, y] = [plan[2 * i], plan[2 * i + 1]];
    ring[3 * i] = x;
    ring[3 * i + 1] = y;
    // On the margin both faces meet; the mean spares the rounding between them.
    ring[3 * i + 2] = (stone.height(0, x, y) - stone.height(1, x, y)) / 2;
  }
  return ring;
}

/** Pushes the start of the stretch a…b and whatever points it needs inside. */
function subdivide(
  stone: Stone,
  out: number[],
  ax: number,
  ay: number,
  bx: number,
  by: number,
  step: number,
  depth: number,
): void {
  const dx = bx - ax;
  const dy = by - ay;
  const length = Math.hypot(dx, dy);
  const rise = stone.height(0, bx, by) - stone.height(0, ax, ay);
  if (depth === 0 || Math.hypot(length, rise) <= step || length < 1e-6) {
    out.push(ax, ay);
    return;
  }
  const [mx, my] = ontoZero(
    (x, y) => stone.thickness(x, y),
    ax + dx / 2,
    ay + dy / 2,
    dy / length,
    -dx / length,
    0.45 * length,
  ) ?? [ax + dx / 2, ay + dy / 2];
  subdivide(stone, out, ax, ay, mx, my, step, depth - 1);
  subdivide(stone, out, mx, my, bx, by, step, depth - 1);
}

/** The boundary's vertices in order, counter-clockwise. Throws unless they form a single loop. */
export function boundaryLoop(domain: PlanMesh): number[] {
  const follow = new Map<number, number>();
  for (let h = 0; h < domain.tri.length; h++) {
    if (domain.twin[h] < 0) follow.set(domain.tri[h], domain.tri[next(h)]);
  }
  const loop: number[] = [];
  const start = Math.min(...follow.keys());
  let v: number | undefined = start;
  do {
    loop.push(v!);
    v = follow.get(v!);
  } while (v !== undefined && v !== start && loop.length <= follow.size);
  if (loop.length !== follow.size)
    throw new Error('the plan has a hole in it: a blow went through the stone');
  return loop;
}
