import { symmetricEigen3, type Vector3 } from './symmetricEigen.ts';
import type { Points3 } from './types.ts';

export interface FittedPlane {
  readonly centroid: Vector3;
  readonly normal: Vector3;
  /** RMS distance of the line from the plane. */
  readonly rms: number;
}

/**
 * Total-least-squares plane of a closed polyline, every segment weighted by its length (exact second moments of a
 * segment: (aaᵀ + bbᵀ + (a+b)(a+b)ᵀ) / 6), so that uneven spacing of the points does not matter.
 */
export function planeOfClosedLine(points: Points3): FittedPlane {
  const n = points.length / 3;
  const ox = points[0];
  const oy = points[1];
  const oz = points[2];
  let length = 0;
  let sx = 0;
  let sy = 0;
  let sz = 0;
  let xx = 0;
  let xy = 0;
  let xz = 0;
  let yy = 0;
  let yz = 0;
  let zz = 0;
  for (let i = 0; i < n; i++) {
    const j = ((i + 1) % n) * 3;
    const ax = points[3 * i] - ox;
    const ay = points[3 * i + 1] - oy;
    const az = points[3 * i + 2] - oz;
    const bx = points[j] - ox;
    const by = points[j + 1] - oy;
    const bz = points[j + 2] - oz;
    const w = Math.hypot(bx - ax, by - ay, bz - az);
    const mx = ax + bx;
    const my = ay + by;
    const mz = az + bz;
    length += w;
    sx += (w * mx) / 2;
    sy += (w * my) / 2;
    sz += (w * mz) / 2;
    const k = w / 6;
    xx += k * (ax * ax + bx * bx + mx * mx);
    xy += k * (ax * ay + bx * by + mx * my);
    xz += k * (ax * az + bx * bz + mx * mz);
    yy += k * (ay * ay + by * by + my * my);
    yz += k * (ay * az + by * bz + my * mz);
    zz += k * (az * az + bz * bz + mz * mz);
  }
  const cx = sx / length;
  const cy = sy / length;
  const cz = sz / length;
  const eigen = symmetricEigen3(
    xx / length - cx * cx,
    xy / length - cx * cy,
    xz / length - cx * cz,
    yy / length - cy * cy,
    yz / length - cy * cz,
    zz / length - cz * cz,
  );
  return {
    centroid: [cx + ox, cy + oy, cz + oz],
    normal: eigen.vectors[0],
    rms: Math.sqrt(Math.max(0, eigen.values[0])),
  };
}
