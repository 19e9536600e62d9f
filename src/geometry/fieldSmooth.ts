/**
 * Gaussian mean of a grid, `sigma` in cells. NaN cells take no part and stay NaN: weights are renormalised over the cells
 * that are there, so that a hole or an edge pulls nothing down. Cut off at 3σ; separable, O(cells × σ).
 */
export function smoothField(heights: Float32Array, columns: number, sigma: number): Float32Array {
  const rows = heights.length / columns;
  const sum = new Float32Array(heights.length);
  const share = new Float32Array(heights.length);
  for (let i = 0; i < heights.length; i++) {
    const there = !Number.isNaN(heights[i]);
    sum[i] = there ? heights[i] : 0;
    share[i] = there ? 1 : 0;
  }
  const kernel = gaussian(sigma);
  const acrossSum = alongLines(sum, kernel, rows, columns, columns, 1);
  const acrossShare = alongLines(share, kernel, rows, columns, columns, 1);
  const allSum = alongLines(acrossSum, kernel, columns, 1, rows, columns);
  const allShare = alongLines(acrossShare, kernel, columns, 1, rows, columns);
  for (let i = 0; i < heights.length; i++) allSum[i] = share[i] === 1 ? allSum[i] / allShare[i] : NaN;
  return allSum;
}

/** Weights at 0, 1, 2 … cells, summing to one over both sides. */
function gaussian(sigma: number): Float64Array {
  const reach = Math.ceil(3 * sigma);
  const weights = Float64Array.from({ length: reach + 1 }, (_, k) =>
    sigma > 0 ? Math.exp(-0.5 * (k / sigma) ** 2) : 1,
  );
  const whole = weights.reduce((total, w, k) => total + (k === 0 ? w : 2 * w), 0);
  return weights.map((w) => w / whole);
}

/** Convolves `lines` lines, `lineStep` apart, of `count` values, `step` apart; nothing lies beyond the ends. */
function alongLines(
  from: Float32Array,
  kernel: Float64Array,
  lines: number,
  lineStep: number,
  count: number,
  step: number,
): Float32Array {
  const out = new Float32Array(from.length);
  const reach = kernel.length - 1;
  const line = new Float64Array(count + 2 * reach);
  for (let l = 0; l < lines; l++) {
    const start = l * lineStep;
    for (let i = 0; i < count; i++) line[reach + i] = from[start + i * step];
    for (let i = 0; i < count; i++) {
      let value = kernel[0] * line[reach + i];
      for (let k = 1; k <= reach; k++) value += kernel[k] * (line[reach + i - k] + line[reach + i + k]);
      out[start + i * step] = value;
    }
  }
  return out;
}
