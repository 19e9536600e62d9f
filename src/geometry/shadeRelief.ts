/** How a relief is lit. Angles in degrees. */
export interface ReliefLight {
  /** Where the light comes from, counter-clockwise from +x; 135 is the upper left. */
  readonly azimuth: number;
  /** Height above the plane; low light rakes. */
  readonly elevation: number;
  /** Share of the brightness that comes from straight above and reaches everywhere. */
  readonly ambient: number;
}

/**
 * Brightness 0…1 of a height grid under a lamp far away (Lambert's cosine law on central differences), rows × columns.
 * Heights and `cell` share one unit. NaN where the grid is empty.
 */
export function shadeRelief(
  heights: Float32Array,
  columns: number,
  rows: number,
  cell: number,
  light: ReliefLight,
): Float32Array {
  const toRad = Math.PI / 180;
  const flat = Math.cos(light.elevation * toRad);
  const lx = flat * Math.cos(light.azimuth * toRad);
  const ly = flat * Math.sin(light.azimuth * toRad);
  const lz = Math.sin(light.elevation * toRad);
  const out = new Float32Array(rows * columns).fill(NaN);
  for (let row = 0; row < rows; row++) {
    const below = row > 0 ? -columns : 0;
    const above = row < rows - 1 ? columns : 0;
    for (let column = 0; column < columns; column++) {
      const k = row * columns + column;
      if (Number.isNaN(heights[k])) continue;
      const gx = slope(heights, k, column > 0 ? -1 : 0, column < columns - 1 ? 1 : 0) / cell;
      const gy = slope(heights, k, below, above) / cell;
      const length = Math.hypot(gx, gy, 1);
      const lambert = Math.max(0, (lz - gx * lx - gy * ly) / length);
      out[k] = (1 - light.ambient) * lambert + light.ambient / length;
    }
  }
  return out;
}

/** Rise per cell across neighbour offsets, one-sided at the rim of the data. */
function slope(heights: Float32Array, k: number, before: number, after: number): number {
  const low = Number.isNaN(heights[k + before]) ? 0 : before;
  const high = Number.isNaN(heights[k + after]) ? 0 : after;
  const steps = (low === 0 ? 0 : 1) + (high === 0 ? 0 : 1);
  return steps === 0 ? 0 : (heights[k + high] - heights[k + low]) / steps;
}
