import type { Matrix4 } from '../../src/geometry/types.ts';
import { createRandom } from './random.ts';

/** A rigid motion: x ↦ R·x + t; R row-major. */
export interface Pose {
  readonly rotation: readonly number[];
  readonly shift: readonly number[];
}

/** How a scanner happened to hold the piece: any turn, a shift of up to 200 mm. */
export function anyPose(seed: number): Pose {
  const random = createRandom(seed);
  const q = Array.from({ length: 4 }, () => random.normal());
  const length = Math.hypot(...q);
  const [w, x, y, z] = q.map((c) => c / length);
  return {
    rotation: [
      1 - 2 * (y * y + z * z),
      2 * (x * y - w * z),
      2 * (x * z + w * y),
      2 * (x * y + w * z),
      1 - 2 * (x * x + z * z),
      2 * (y * z - w * x),
      2 * (x * z - w * y),
      2 * (y * z + w * x),
      1 - 2 * (x * x + y * y),
    ],
    shift: [random.between(-200, 200), random.between(-200, 200), random.between(-200, 200)],
  };
}

export function moved(pose: Pose, points: Float64Array): Float64Array {
  const { rotation: r, shift: t } = pose;
  const out = new Float64Array(points.length);
  for (let i = 0; i < points.length; i += 3) {
    const [x, y, z] = [points[i], points[i + 1], points[i + 2]];
    for (let k = 0; k < 3; k++) out[i + k] = r[3 * k] * x + r[3 * k + 1] * y + r[3 * k + 2] * z + t[k];
  }
  return out;
}

/** first, then second. */
export function after(first: Pose, second: Pose): Pose {
  const rotation: number[] = [];
  for (let i = 0; i < 3; i++) {
    for (let j = 0; j < 3; j++) {
      let sum = 0;
      for (let k = 0; k < 3; k++) sum += second.rotation[3 * i + k] * first.rotation[3 * k + j];
      rotation.push(sum);
    }
  }
  return { rotation, shift: [...moved(second, Float64Array.from(first.shift))] };
}

export function inverse(pose: Pose): Pose {
  const r = pose.rotation;
  const rotation = [r[0], r[3], r[6], r[1], r[4], r[7], r[2], r[5], r[8]];
  const shift = [...moved({ rotation, shift: [0, 0, 0] }, Float64Array.from(pose.shift))].map((c) => -c);
  return { rotation, shift };
}

/** Column-major 4 × 4 of the pose after scaling by `scale`. */
export function matrixOf(pose: Pose, scale: number): Matrix4 {
  const m = new Float64Array(16);
  for (let row = 0; row < 3; row++) {
    for (let column = 0; column < 3; column++) m[4 * column + row] = scale * pose.rotation[3 * row + column];
    m[12 + row] = pose.shift[row];
  }
  m[15] = 1;
  return m;
}
