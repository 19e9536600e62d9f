import { polygonMoments } from '../geometry/polygonMoments.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Cv, CvMat } from '../intake/photoOpencv.ts';

/** A card: the quadrangle that is drawn round it differs from it by at most this share of the area. */
const CARD_MISFIT = 0.04;
/** Opposite sides of a card differ by less than this factor, and its corners are square but for this cosine (60° to 120°), however the camera leans. */
const CARD_SIDES = 1.5;
const CARD_LEAN = 0.5;

/** Whether four straight sides make the ring: that of a label or a bar's card, and no stone. */
export function isCard(ring: Points2, cv: Cv): boolean {
  const made: CvMat[] = [];
  try {
    const contour = new cv.Mat(ring.length / 2, 1, cv.CV_32SC2);
    made.push(contour);
    const { data32S } = contour;
    for (let i = 0; i < ring.length; i++) data32S[i] = Math.round(ring[i]);
    const quad = new cv.Mat();
    made.push(quad);
    cv.approxPolyDP(contour, quad, 0.02 * cv.arcLength(contour, true), true);
    if (quad.rows !== 4) return false;
    const corners = Float64Array.from(quad.data32S);
    if (!isOblong(corners)) return false;
    const area = Math.abs(polygonMoments([corners]).area);
    return Math.abs(area / Math.abs(polygonMoments([ring]).area) - 1) < CARD_MISFIT;
  } finally {
    for (const mat of made) mat.delete();
  }
}

/** Whether four corners may be those of a rectangle that the camera leaned over: points and rhombs are no cards. */
function isOblong(corners: Points2): boolean {
  const side = (k: number): { x: number; y: number; length: number } => {
    const [a, b] = [(2 * k) & 7, (2 * k + 2) & 7];
    const [x, y] = [corners[b] - corners[a], corners[b + 1] - corners[a + 1]];
    return { x, y, length: Math.hypot(x, y) };
  };
  return [0, 1, 2, 3].every((k) => {
    const [one, next, opposite] = [side(k), side(k + 1), side(k + 2)];
    const lean = Math.abs(one.x * next.x + one.y * next.y) / (one.length * next.length);
    return lean < CARD_LEAN && one.length < CARD_SIDES * opposite.length;
  });
}
