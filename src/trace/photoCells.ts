import type { Cv } from '../intake/photoOpencv.ts';

/** A mask changed by a square of `side` cells. All matrices made are deleted. */
export function changed(
  mask: Uint8Array,
  width: number,
  height: number,
  how: 'MORPH_OPEN' | 'MORPH_CLOSE' | 'MORPH_ERODE' | 'MORPH_DILATE',
  cv: Cv,
  side = 3,
): Uint8Array {
  const from = new cv.Mat(height, width, cv.CV_8UC1);
  const square = cv.getStructuringElement(cv.MORPH_RECT, new cv.Size(side, side));
  try {
    from.data.set(mask);
    cv.morphologyEx(from, from, cv[how], square);
    return from.data.slice();
  } finally {
    from.delete();
    square.delete();
  }
}
