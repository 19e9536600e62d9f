import { solveCholesky } from '../geometry/asymmetricFit.ts';
import { quadricTerms } from '../geometry/quadric.ts';
import { type Region, visitRegion } from '../geometry/rasterRegion.ts';
import type { ThicknessMap } from './types.ts';

/** Top of a lump: plan place and height, mm. */
export interface Cap {
  readonly x: number;
  readonly y: number;
  readonly height: number;
}

const TERMS = 6;

/**
 * Height and place of a lump's top from the least-squares quadric h = c₀ + c₁u + c₂v + c₃u² + c₄uv + c₅v² over the upper
 * half of the lump, in the raw field: scars and noise on the top are averaged over its whole width, and nothing is
 * flattened as smoothing would. Where the quadric has no summit within the region, the top is at the region's centroid.
 */
export function fitCap(
  field: Float32Array,
  map: ThicknessMap,
  upper: Region,
  near: { column: number; row: number },
): Cap {
  const scale = Math.max(1, Math.sqrt(upper.count / Math.PI));
  const normal = new Float64Array(TERMS * TERMS);
  const right = new Float64Array(TERMS);
  const terms = new Float64Array(TERMS);
  let count = 0;
  let meanU = 0;
  let meanV = 0;
  visitRegion(upper, (column, row) => {
    const z = field[row * map.columns + column];
    const u = (column - near.column) / scale;
    const v = (row - near.row) / scale;
    quadricTerms(u, v, terms);
    for (let i = 0; i < TERMS; i++) {
      right[i] += terms[i] * z;
      for (let j = 0; j <= i; j++) normal[i * TERMS + j] += terms[i] * terms[j];
    }
    count++;
    meanU += u;
    meanV += v;
  });
  for (let i = 0; i < TERMS; i++) normal[i * (TERMS + 1)] += 1e-9 * count;
  const c = new Float64Array(TERMS);
  solveCholesky(normal, right, c);
  const top = summit(c, upper, near, scale) ?? { u: meanU / count, v: meanV / count };
  quadricTerms(top.u, top.v, terms);
  return {
    x: map.x0 + (near.column + scale * top.u) * map.cell,
    y: map.y0 + (near.row + scale * top.v) * map.cell,
    height: terms.reduce((sum, term, i) => sum + term * c[i], 0),
  };
}

function summit(
  c: Float64Array,
  { column0, row0, columns, rows, mask }: Region,
  near: { column: number; row: number },
  scale: number,
): { u: number; v: number } | null {
  const determinant = 4 * c[3] * c[5] - c[4] * c[4];
  if (!(determinant > 0 && c[3] < 0)) return null;
  const u = (c[4] * c[2] - 2 * c[5] * c[1]) / determinant;
  const v = (c[4] * c[1] - 2 * c[3] * c[2]) / determinant;
  const column = Math.round(near.column + scale * u) - column0;
  const row = Math.round(near.row + scale * v) - row0;
  if (column < 0 || row < 0 || column >= columns || row >= rows) return null;
  return mask[row * columns + column] === 1 ? { u, v } : null;
}
