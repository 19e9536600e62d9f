import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { convexHull } from '../../src/geometry/hull.ts';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import { decodeInNode } from '../../src/intake/photoNode.ts';
import type { Cv } from '../../src/intake/photoOpencv.ts';
import { readPhoto } from '../../src/intake/photoRead.ts';
import { type PhotoPiece, piecesOfPhoto } from '../../src/trace/photoPieces.ts';
import { loadOpencv } from '../intake/support/opencv.ts';
import { askPython } from './python.ts';

/**
 * The same pictures through native OpenCV (python3-opencv) and scikit-image (python3-skimage): distance in Lab from the
 * backdrop's median, Otsu's threshold (OpenCV), and the sub-pixel contour at half of it (scikit-image's marching
 * squares). They know nothing of shadows, so that the pictures are a demo photograph on blue, where colour tells.
 */
const PROGRAM = `
import cv2, numpy as np
from skimage import measure
image = cv2.imread(data["path"])
lab = cv2.cvtColor(image.astype(np.float32) / 255, cv2.COLOR_BGR2LAB)[:, :, 1:]
ground = np.median(lab[:40].reshape(-1, 2), axis=0)
far = np.linalg.norm(lab - ground, axis=2)
codes = np.clip(far * 4, 0, 255).astype(np.uint8)
level, mask = cv2.threshold(codes, 0, 255, cv2.THRESH_BINARY + cv2.THRESH_OTSU)
contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
piece = max(contours, key=cv2.contourArea)
filled = np.zeros(mask.shape, np.uint8)
cv2.drawContours(filled, [piece], -1, 255, -1)
hull = cv2.contourArea(cv2.convexHull(piece))
lines = measure.find_contours(far, level / 4)
line = max(lines, key=len)
print(json.dumps({
  "pixels": int((filled > 0).sum()),
  "hull": float(hull),
  "perimeter": float(cv2.arcLength(piece, True)),
  "line": [float(v) for point in line for v in (point[1], point[0])],
}))
`;

interface Outside {
  readonly pixels: number;
  readonly hull: number;
  readonly perimeter: number;
  readonly line: readonly number[];
}

let cv: Cv;
beforeAll(async () => {
  ({ cv } = await loadOpencv());
});

async function both(name: string): Promise<{ piece: PhotoPiece; outside: Outside }> {
  const path = new URL(`../../sample-scans/${name}`, import.meta.url).pathname;
  const photo = await readPhoto(readFileSync(path), decodeInNode);
  return { piece: piecesOfPhoto(photo, {}, cv)[0], outside: askPython<Outside>(PROGRAM, { path }) };
}

describe('a photograph beside native OpenCV and scikit-image', () => {
  it.each(['qt-41-3-photo-A.jpg', 'qt-41-3-photo-B.jpg'])(
    '%s: area, hull and contour agree',
    async (name) => {
      const { piece, outside } = await both(name);
      const area = Math.abs(polygonMoments([piece.ring]).area);
      expect(Math.abs(area / outside.pixels - 1)).toBeLessThan(0.004);
      const hull = Math.abs(polygonMoments([convexHull(piece.ring)]).area);
      // Its hull runs through the centres of the outermost pixels: half a pixel less all round.
      expect(Math.abs(hull / (outside.hull + outside.perimeter / 2) - 1)).toBeLessThan(0.006);
      // Marching squares: signed area by the same formula as ours; shadows tint the backdrop a little.
      const line = Math.abs(polygonMoments([Float64Array.from(outside.line)]).area);
      expect(Math.abs(area / line - 1)).toBeLessThan(0.004);
    },
  );
});
