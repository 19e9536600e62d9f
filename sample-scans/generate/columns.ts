import type { Points2 } from '../../src/geometry/types.ts';
import { inverse, moved, type Pose } from './pose.ts';
import type { Stone } from './stone.ts';

/** Stretches of the line y = const inside a simple polygon, left to right. */
export function rowSpans(ring: Points2, y: number): (readonly [number, number])[] {
  const cuts: number[] = [];
  const n = ring.length / 2;
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const [ay, by] = [ring[2 * i + 1], ring[2 * j + 1]];
    if (ay > y === by > y) continue;
    cuts.push(ring[2 * i] + ((y - ay) / (by - ay)) * (ring[2 * j] - ring[2 * i]));
  }
  cuts.sort((a, b) => a - b);
  const spans: (readonly [number, number])[] = [];
  for (let i = 0; i + 1 < cuts.length; i += 2) spans.push([cuts[i], cuts[i + 1]]);
  return spans;
}

/** Heights z of Face A and Face B (mm) where the vertical at frame plan (x, y) meets the stone's own surface. */
export type Column = (x: number, y: number) => readonly [number, number];

/**
 * Verticals of a frame that leans on the stone's own: the meeting point is found by walking along the vertical until the
 * stone's surface is met, to 1e-9 mm.
 */
export function columnsOf(stone: Stone, pose: Pose, faceA: 0 | 1): Column {
  const back = inverse(pose);
  const up = [back.rotation[2], back.rotation[5], back.rotation[8]];
  const meet = (x: number, y: number, face: 0 | 1): number => {
    const [px, py, pz] = moved(back, Float64Array.of(x, y, 0));
    const way = face === 0 ? 1 : -1;
    let s = 0;
    for (let i = 0; i < 60; i++) {
      const over = pz + s * up[2] - way * stone.height(face, px + s * up[0], py + s * up[1]);
      s -= over / up[2];
      if (Math.abs(over) < 1e-9) break;
    }
    return s;
  };
  return (x, y) => (faceA === 0 ? [meet(x, y, 0), meet(x, y, 1)] : [meet(x, y, 1), meet(x, y, 0)]);
}
