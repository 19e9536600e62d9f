import type { Pixels, PlaneMap, Rectify } from './photoTypes.ts';
import { localPxPerMm, planeToImage } from './scaleMap.ts';
import { IntakeError } from './types.ts';

/** More pixels than this are not made. */
const MOST_PIXELS = 150_000_000;
/** At most so many samples along one side of a pixel where the picture is made smaller. */
const MOST_SAMPLES = 4;

/**
 * The picture as seen straight from above, of a box of the plane, at `pxPerMm`: y up the plane is up the picture. What
 * the photograph does not show is clear (alpha 0). Bilinear; where it shrinks, the mean of several samples. Throws an
 * IntakeError for a box that is empty or too large.
 */
export const rectify: Rectify = (photo, scale, box, pxPerMm) => {
  const width = Math.round((box.right - box.left) * pxPerMm);
  const height = Math.round((box.top - box.bottom) * pxPerMm);
  if (!(width >= 1 && height >= 1 && width * height <= MOST_PIXELS)) {
    throw new IntakeError('rectify-size', 'The part of the plane to be drawn is empty or too large.');
  }
  const step = 1 / pxPerMm;
  const [left, top] = [box.left + step / 2, box.top - step / 2];
  const middle = planeToImage(scale, Float64Array.of((box.left + box.right) / 2, (box.bottom + box.top) / 2));
  const shrink = localPxPerMm(scale, middle[0], middle[1]) / pxPerMm;
  const samples = Math.min(MOST_SAMPLES, Math.max(1, Math.round(shrink)));
  const rgba = new Uint8ClampedArray(4 * width * height);
  const look = createLook(photo, scale.map);
  const sum = new Float64Array(5);
  for (let v = 0, at = 0; v < height; v++) {
    for (let u = 0; u < width; u++, at += 4) {
      sum.fill(0);
      for (let k = 0; k < samples * samples; k++) {
        const dx = ((k % samples) + 0.5) / samples - 0.5;
        const dy = (Math.floor(k / samples) + 0.5) / samples - 0.5;
        look(left + (u + dx) * step, top - (v + dy) * step, sum);
      }
      if (sum[4] > 0) for (let c = 0; c < 4; c++) rgba[at + c] = sum[c] / sum[4];
    }
  }
  return { width, height, rgba, pxPerMm, left, top };
};

/** Adds the colour at a place of the plane (mm), and 1 to the fifth number, when the photograph shows it. */
function createLook(
  { width, height, rgba }: Pixels,
  { toImage: h, radial }: PlaneMap,
): (x: number, y: number, sum: Float64Array) => void {
  const { centreX, centreY, radius, k } = radial;
  const perSquare = k / (radius * radius);
  return (x, y, sum) => {
    const w = h[6] * x + h[7] * y + h[8];
    const dx = (h[0] * x + h[1] * y + h[2]) / w - centreX;
    const dy = (h[3] * x + h[4] * y + h[5]) / w - centreY;
    const factor = 1 + perSquare * (dx * dx + dy * dy);
    const u = centreX + dx * factor;
    const v = centreY + dy * factor;
    if (!(u > -0.5 && v > -0.5 && u < width - 0.5 && v < height - 0.5)) return;
    const i = Math.min(width - 1, Math.max(0, Math.floor(u)));
    const j = Math.min(height - 1, Math.max(0, Math.floor(v)));
    const right = i + 1 < width ? 4 : 0;
    const below = j + 1 < height ? 4 * width : 0;
    const fx = Math.max(0, u - i);
    const fy = Math.max(0, v - j);
    const at = 4 * (j * width + i);
    for (let c = at, n = 0; n < 4; c++, n++) {
      const upper = rgba[c] + (rgba[c + right] - rgba[c]) * fx;
      const lower = rgba[c + below] + (rgba[c + below + right] - rgba[c + below]) * fx;
      sum[n] += upper + (lower - upper) * fy;
    }
    sum[4]++;
  };
}
