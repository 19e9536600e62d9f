import type { Points2 } from '../../src/geometry/types.ts';

/**
 * A pinhole camera with one radial term over the plane z = 0 (mm, x right, y up, z towards the camera). Image pixels
 * have x right, y down, and the centre of the top-left pixel at (0, 0).
 */
export interface CameraSpec {
  readonly width: number;
  readonly height: number;
  /** Focal length, pixels. */
  readonly focal: number;
  /** From the centre of projection along the optical axis to the plane, mm. */
  readonly distance: number;
  /** Point of the plane in the middle of the picture, mm. Default 0, 0. */
  readonly look?: readonly [number, number];
  /** Angle between the optical axis and the plane's normal, and the way that the camera looks, degrees from +x. */
  readonly tilt?: number;
  readonly azimuth?: number;
  /** Turn of the camera about its own axis, degrees; the picture turns the other way. */
  readonly roll?: number;
  /** Brown's first radial term, OpenCV's k1: on coordinates divided by the focal length. */
  readonly k1?: number;
}

export interface Camera {
  readonly spec: CameraSpec;
  /** Centre of projection, mm. */
  readonly centre: readonly [number, number, number];
  /** Image x, image y and optical axis as rows: world → camera, as OpenCV's rotation matrix (row by row). */
  readonly rotation: readonly number[];
  /** World → image pixels. */
  toImage(x: number, y: number, z: number): [number, number];
  /** Image pixels → the points of the planes z = `heights` that are seen there, x y pairs into `hits`. */
  castInto(u: number, v: number, heights: ArrayLike<number>, hits: Float64Array): void;
  /** Image pixels → the point of the plane z = `height` that is seen there. */
  toPlane(u: number, v: number, height: number): [number, number];
}

const RADIANS = Math.PI / 180;

export function createCamera(spec: CameraSpec): Camera {
  const { width, height, focal, distance, look = [0, 0], tilt = 0, azimuth = 90, roll = 0, k1 = 0 } = spec;
  const [t, a, turn] = [tilt * RADIANS, azimuth * RADIANS, roll * RADIANS];
  const along = [Math.cos(a), Math.sin(a)];
  // A vector of the level camera, turned so that its axis leans towards `along`.
  const lean = ([x, y]: readonly [number, number]): number[] => {
    const part = x * along[0] + y * along[1];
    const rise = part * Math.sin(t);
    const shrink = part * (Math.cos(t) - 1);
    return [x + shrink * along[0], y + shrink * along[1], rise];
  };
  const right = lean([Math.cos(turn), Math.sin(turn)]);
  const down = lean([Math.sin(turn), -Math.cos(turn)]);
  const axis = [Math.sin(t) * along[0], Math.sin(t) * along[1], -Math.cos(t)];
  const centre = [look[0] - distance * axis[0], look[1] - distance * axis[1], -distance * axis[2]] as const;
  const [cx, cy] = [(width - 1) / 2, (height - 1) / 2];
  const dot = (v: readonly number[], x: number, y: number, z: number): number =>
    v[0] * x + v[1] * y + v[2] * z;
  const castInto = (px: number, py: number, heights: ArrayLike<number>, hits: Float64Array): void => {
    const factor = straightFactor(Math.sqrt((px - cx) ** 2 + (py - cy) ** 2) / focal, k1) / focal;
    const u = (px - cx) * factor;
    const v = (py - cy) * factor;
    const rayX = axis[0] + u * right[0] + v * down[0];
    const rayY = axis[1] + u * right[1] + v * down[1];
    const rayZ = axis[2] + u * right[2] + v * down[2];
    for (let i = 0; i < heights.length; i++) {
      const share = (heights[i] - centre[2]) / rayZ;
      hits[2 * i] = centre[0] + share * rayX;
      hits[2 * i + 1] = centre[1] + share * rayY;
    }
  };
  return {
    spec,
    centre,
    rotation: [...right, ...down, ...axis],
    toImage(x, y, z) {
      const [dx, dy, dz] = [x - centre[0], y - centre[1], z - centre[2]];
      const depth = dot(axis, dx, dy, dz);
      const u = dot(right, dx, dy, dz) / depth;
      const v = dot(down, dx, dy, dz) / depth;
      const factor = focal * (1 + k1 * (u * u + v * v));
      return [cx + u * factor, cy + v * factor];
    },
    castInto,
    toPlane(px, py, height) {
      const hit = new Float64Array(2);
      castInto(px, py, [height], hit);
      return [hit[0], hit[1]];
    },
  };
}

/** Straight radius over distorted radius: s·(1 + k·s²) = d by Newton's steps. */
function straightFactor(distorted: number, k1: number): number {
  if (k1 === 0 || distorted === 0) return 1;
  let s = distorted;
  for (let round = 0; round < 20; round++) {
    const step = (s * (1 + k1 * s * s) - distorted) / (1 + 3 * k1 * s * s);
    s -= step;
    if (Math.abs(step) < 1e-13) break;
  }
  return s / distorted;
}

/** A ring at one height over the plane, as it is seen. */
export function seenRing(camera: Camera, ring: Points2, height: number): Points2 {
  const seen = new Float64Array(ring.length);
  for (let i = 0; i < ring.length; i += 2) seen.set(camera.toImage(ring[i], ring[i + 1], height), i);
  return seen;
}
