/** Eigenvalues (ascending) and unit eigenvectors of a symmetric 3 × 3 matrix. */
export interface Eigen3 {
  readonly values: readonly [number, number, number];
  /** vectors[i] belongs to values[i]. */
  readonly vectors: readonly [Vector3, Vector3, Vector3];
}

export type Vector3 = readonly [number, number, number];

/**
 * Cyclic Jacobi rotations: slow for large matrices, exact to rounding for 3 × 3, and immune to repeated eigenvalues
 * (Golub & Van Loan, Matrix Computations, section 8.5).
 */
export function symmetricEigen3(
  xx: number,
  xy: number,
  xz: number,
  yy: number,
  yz: number,
  zz: number,
): Eigen3 {
  const a = [
    [xx, xy, xz],
    [xy, yy, yz],
    [xz, yz, zz],
  ];
  const v = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ];
  for (let sweep = 0; sweep < 60; sweep++) {
    const off = Math.abs(a[0][1]) + Math.abs(a[0][2]) + Math.abs(a[1][2]);
    const scale = Math.abs(a[0][0]) + Math.abs(a[1][1]) + Math.abs(a[2][2]);
    if (off <= 1e-16 * scale || off === 0) break;
    for (let p = 0; p < 2; p++) for (let q = p + 1; q < 3; q++) rotate(a, v, p, q);
  }
  const order = [0, 1, 2].sort((i, j) => a[i][i] - a[j][j]);
  const vector = (i: number): Vector3 => [v[0][i], v[1][i], v[2][i]];
  return {
    values: [a[order[0]][order[0]], a[order[1]][order[1]], a[order[2]][order[2]]],
    vectors: [vector(order[0]), vector(order[1]), vector(order[2])],
  };
}

function rotate(a: number[][], v: number[][], p: number, q: number): void {
  if (a[p][q] === 0) return;
  const theta = (a[q][q] - a[p][p]) / (2 * a[p][q]);
  const t = (theta >= 0 ? 1 : -1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
  const c = 1 / Math.sqrt(t * t + 1);
  const s = t * c;
  for (let k = 0; k < 3; k++) {
    const kp = a[k][p];
    const kq = a[k][q];
    a[k][p] = c * kp - s * kq;
    a[k][q] = s * kp + c * kq;
  }
  for (let k = 0; k < 3; k++) {
    const pk = a[p][k];
    const qk = a[q][k];
    a[p][k] = c * pk - s * qk;
    a[q][k] = s * pk + c * qk;
    const kp = v[k][p];
    const kq = v[k][q];
    v[k][p] = c * kp - s * kq;
    v[k][q] = s * kp + c * kq;
  }
}
