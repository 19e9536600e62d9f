import { quadricTerms } from './quadric.ts';

/** Unit vector: the half-plane that a half-disc lies in. */
export type Side = readonly [number, number];

/** Cells of a disc with the weights of an estimate at its middle. */
export interface Disc {
  /** Cells from the middle that it reaches each way. */
  readonly left: number;
  readonly right: number;
  readonly below: number;
  readonly above: number;
  readonly dx: Int32Array;
  readonly dy: Int32Array;
  /** From the middle's index in a row-major grid. */
  readonly offset: Int32Array;
  readonly weight: Float64Array;
  /** Of its second derivatives along columns, across both, and along rows, per cell squared. */
  readonly bend: readonly [Float64Array, Float64Array, Float64Array];
  /** Standard error of the estimate, in sigmas of one sample. */
  readonly share: number;
}

function cellsOf(radius: number, columns: number, side?: Side): Omit<Disc, 'weight' | 'bend' | 'share'> {
  const reach = Math.floor(radius);
  const dx: number[] = [];
  const dy: number[] = [];
  for (let y = -reach; y <= reach; y++) {
    for (let x = -reach; x <= reach; x++) {
      if (x * x + y * y > radius * radius) continue;
      if (side !== undefined && x * side[0] + y * side[1] < -1e-9) continue;
      dx.push(x);
      dy.push(y);
    }
  }
  return {
    left: -Math.min(...dx),
    right: Math.max(...dx),
    below: -Math.min(...dy),
    above: Math.max(...dy),
    dx: Int32Array.from(dx),
    dy: Int32Array.from(dy),
    offset: Int32Array.from(dx, (x, i) => dy[i] * columns + x),
  };
}

/**
 * Weights of the middle's value in the least-squares quadratic over a disc, or over one half of it, the line between the
 * halves included. None where there are too few cells to bear a quadratic.
 * @param radius, @param grain in cells
 */
export function quadraticDisc(
  radius: number,
  grain: number,
  columns: number,
  side: Side | undefined,
): Disc[] {
  const cells = cellsOf(radius, columns, side);
  const { dx, dy } = cells;
  const n = dx.length;
  if (n < 10) return [];
  const basis = new Float64Array(6 * n);
  const terms = new Float64Array(6);
  const normal = new Float64Array(42);
  for (let c = 0; c < n; c++) {
    quadricTerms(dx[c] / radius, dy[c] / radius, terms);
    basis.set(terms, 6 * c);
    for (let i = 0; i < 6; i++) for (let j = 0; j < 6; j++) normal[7 * i + j] += terms[i] * terms[j];
  }
  const weightsOf = (term: number, factor: number): Float64Array | undefined => {
    const system = normal.slice();
    system[7 * term + 6] = factor;
    const row = solve6(system);
    return row && productsOf(basis, row);
  };
  const unit = 1 / radius ** 2;
  const weight = weightsOf(0, 1);
  const bend = [weightsOf(3, 2 * unit), weightsOf(4, unit), weightsOf(5, 2 * unit)] as const;
  if (weight === undefined || bend[0] === undefined || bend[1] === undefined || bend[2] === undefined)
    return [];
  let squares = 0;
  for (const w of weight) squares += w * w;
  // Cells between independent samples share their noise: of a grain's area, ½√3 grain², all cells count as one.
  const shared = Math.max(1, (Math.sqrt(3) / 2) * grain * grain);
  return [
    { ...cells, weight, bend: [bend[0], bend[1], bend[2]], share: Math.min(1, Math.sqrt(squares * shared)) },
  ];
}

/** Of each six numbers of a list with the same six. */
function productsOf(rows: Float64Array, six: Float64Array): Float64Array {
  const out = new Float64Array(rows.length / 6);
  for (let k = 0; k < out.length; k++) {
    let sum = 0;
    for (let i = 0; i < 6; i++) sum += rows[6 * k + i] * six[i];
    out[k] = sum;
  }
  return out;
}

/** Gauss–Jordan with pivoting on 6 rows of 7, in place; the unknowns, or undefined where the system is singular. */
function solve6(m: Float64Array): Float64Array | undefined {
  for (let i = 0; i < 6; i++) {
    let pivot = i;
    for (let r = i + 1; r < 6; r++) if (Math.abs(m[7 * r + i]) > Math.abs(m[7 * pivot + i])) pivot = r;
    if (Math.abs(m[7 * pivot + i]) < 1e-9) return undefined;
    for (let c = 0; c < 7; c++) {
      const held = m[7 * i + c];
      m[7 * i + c] = m[7 * pivot + c];
      m[7 * pivot + c] = held;
    }
    for (let r = 0; r < 6; r++) {
      if (r === i) continue;
      const f = m[7 * r + i] / m[7 * i + i];
      for (let c = i; c < 7; c++) m[7 * r + c] -= f * m[7 * i + c];
    }
  }
  return Float64Array.from({ length: 6 }, (_, i) => m[7 * i + 6] / m[7 * i + i]);
}
