import type { Vector3 } from './symmetricEigen.ts';
import type { Matrix4, TriangleMesh } from './types.ts';

/** Three unit vectors at right angles, right-handed: x × y = z. */
export interface Basis {
  readonly x: Vector3;
  readonly y: Vector3;
  readonly z: Vector3;
}

export function dot(a: Vector3, b: Vector3): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

export function cross(a: Vector3, b: Vector3): Vector3 {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

export function scaled(a: Vector3, k: number): Vector3 {
  return [a[0] * k, a[1] * k, a[2] * k];
}

export function unit(a: Vector3): Vector3 {
  return scaled(a, 1 / Math.hypot(a[0], a[1], a[2]));
}

/** Angle between two lines (not directions) in degrees, 0…90; exact for small angles too. */
export function lineAngle(a: Vector3, b: Vector3): number {
  const c = cross(a, b);
  return (Math.atan2(Math.hypot(c[0], c[1], c[2]), Math.abs(dot(a, b))) * 180) / Math.PI;
}

/** The basis with the given z whose y is as near to `towardY` as may be. */
export function basisFrom(z: Vector3, towardY: Vector3): Basis {
  const zu = unit(z);
  const along = dot(zu, towardY);
  let y: Vector3 = [towardY[0] - along * zu[0], towardY[1] - along * zu[1], towardY[2] - along * zu[2]];
  if (Math.hypot(y[0], y[1], y[2]) < 1e-9) {
    const other: Vector3 = Math.abs(zu[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0];
    y = cross(zu, other);
  }
  const yu = unit(y);
  return { x: cross(yu, zu), y: yu, z: zu };
}

/** Turns a basis about its own z by `angle` radians, counter-clockwise seen from +z. */
export function turned(basis: Basis, angle: number): Basis {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  const mix = (a: Vector3, b: Vector3, p: number, q: number): Vector3 => [
    a[0] * p + b[0] * q,
    a[1] * p + b[1] * q,
    a[2] * p + b[2] * q,
  ];
  return { x: mix(basis.x, basis.y, c, s), y: mix(basis.x, basis.y, -s, c), z: basis.z };
}

/** The matrix that takes a point p to its coordinates in `basis` about `origin` (given in basis coordinates). */
export function toBasis(basis: Basis, origin: Vector3, scale = 1): Matrix4 {
  const { x, y, z } = basis;
  return Float64Array.of(
    x[0] * scale,
    y[0] * scale,
    z[0] * scale,
    0,
    x[1] * scale,
    y[1] * scale,
    z[1] * scale,
    0,
    x[2] * scale,
    y[2] * scale,
    z[2] * scale,
    0,
    -origin[0],
    -origin[1],
    -origin[2],
    1,
  );
}

/** Applies an affine matrix to every point. The input stays untouched. */
export function transformPoints(positions: Float64Array, m: Matrix4): Float64Array {
  const out = new Float64Array(positions.length);
  for (let i = 0; i < positions.length; i += 3) {
    const x = positions[i];
    const y = positions[i + 1];
    const z = positions[i + 2];
    out[i] = m[0] * x + m[4] * y + m[8] * z + m[12];
    out[i + 1] = m[1] * x + m[5] * y + m[9] * z + m[13];
    out[i + 2] = m[2] * x + m[6] * y + m[10] * z + m[14];
  }
  return out;
}

/** A mesh under a rigid motion. Shares the triangle array with its source. */
export function transformMesh(mesh: TriangleMesh, m: Matrix4): TriangleMesh {
  return { positions: transformPoints(mesh.positions, m), triangles: mesh.triangles };
}
