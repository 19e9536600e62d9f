import { beforeAll, describe, expect, it } from 'vitest';
import { project } from '../../src/geometry/homography.ts';
import type { Cv } from '../../src/intake/photoOpencv.ts';
import { straighten } from '../../src/intake/scaleMap.ts';
import { findMat } from '../../src/intake/scaleMat.ts';
import { CODES } from '../../src/intake/scaleMatCodes.ts';
import { matLayout } from '../../src/intake/scaleMatLayout.ts';
import { DEFAULT_SCALE_SETTINGS } from '../../src/intake/settings.ts';
import { loadOpencv } from '../intake/support/opencv.ts';
import { asPhoto, makePhoto } from '../pieces/photo.ts';
import { askPython } from './python.ts';

let cv: Cv;
beforeAll(async () => {
  ({ cv } = await loadOpencv());
});

interface Answer {
  readonly codes: number[];
  readonly markers: { id: number; corners: number[] }[];
  /** Camera centre in plane mm by solvePnP with the given focal length and k1. */
  readonly centre: number[];
  /** Where findHomography puts the middle and the corners of the field, plane mm, from our corners made straight. */
  readonly field: number[];
}

describe('the mat against OpenCV’s own aruco and solvePnP (python3-opencv 4.6)', () => {
  it('codes, markers, corners and pose agree, on a tilted picture with distortion, seed 8', () => {
    const [width, height, focal, k1] = [1200, 900, 1100, -0.06];
    const made = makePhoto({
      mat: 'A4',
      camera: { width, height, focal, distance: 400, tilt: 17, azimuth: 140, roll: 100, k1 },
      light: { backdrop: 'felt', falloff: 0.5 },
      seed: 8,
    });
    const focal35 = (focal / Math.hypot(width, height)) * Math.hypot(36, 24);
    const scale = findMat(asPhoto(made.pixels, 1, { focal35 }), DEFAULT_SCALE_SETTINGS, cv)!;
    const ours = scale.evidence.kind === 'mat' ? scale.evidence.markers : [];
    const { field } = matLayout('A4');
    const places = Float64Array.of(
      0,
      0,
      field.left,
      field.top,
      field.right,
      field.top,
      field.right,
      field.bottom,
    );
    project(scale.map.toImage, places);
    const grey = Array.from({ length: width * height }, (_, i) => made.pixels.rgba[4 * i + 1]);
    const answer = askPython<Answer>(
      `
import cv2, numpy as np
d = cv2.aruco.Dictionary_get(cv2.aruco.DICT_4X4_50)
codes = []
for i in range(50):
    bits = (cv2.aruco.drawMarker(d, i, 6, borderBits=1)[1:5, 1:5] > 127).astype(int).flatten()
    codes.append(int("".join(map(str, bits)), 2))
g = np.array(data["grey"], np.uint8).reshape(data["height"], data["width"])
p = cv2.aruco.DetectorParameters_create()
p.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
corners, ids, _ = cv2.aruco.detectMarkers(g, d, parameters=p)
markers = [{"id": int(i), "corners": c.flatten().tolist()} for c, i in zip(corners, ids.flatten())]
plane = {m["id"]: m["corners"] for m in data["plane"]}
world = np.array([[*plane[m["id"]][2 * k:2 * k + 2], 0.0] for m in markers for k in range(4)])
image = np.array([m["corners"][2 * k:2 * k + 2] for m in markers for k in range(4)])
K = np.array([[data["focal"], 0, (data["width"] - 1) / 2], [0, data["focal"], (data["height"] - 1) / 2], [0, 0, 1.0]])
ok, r, t = cv2.solvePnP(world, image, K, np.array([data["k1"], 0, 0, 0.0]))
R = cv2.Rodrigues(r)[0]
H, _ = cv2.findHomography(np.array(data["straight"]).reshape(-1, 2), np.array(data["onPlane"]).reshape(-1, 2))
field = cv2.perspectiveTransform(np.array(data["places"]).reshape(-1, 1, 2), H).flatten().tolist()
print(json.dumps({"codes": codes, "markers": markers, "centre": (-R.T @ t).flatten().tolist(), "field": field}))`,
      {
        grey,
        width,
        height,
        focal,
        k1,
        straight: ours.flatMap(({ corners }) => [...straighten(scale.map.radial, corners)]),
        onPlane: ours.flatMap(({ id }) => [
          ...matLayout('A4').markers.find((marker) => marker.id === id)!.corners,
        ]),
        places: [...places],
        plane: matLayout('A4').markers.map(({ id, corners }) => ({ id, corners: [...corners] })),
      },
    );
    expect(answer.codes).toEqual([...CODES]);
    expect(answer.markers.length).toBeGreaterThan(14);
    for (const theirs of answer.markers) {
      const own = ours.find(({ id }) => id === theirs.id);
      if (own === undefined) throw new Error(`marker ${theirs.id} was missed`);
      const truth = matLayout('A4').markers.find(({ id }) => id === theirs.id)!.corners;
      for (let k = 0; k < 8; k += 2) {
        const [x, y] = made.camera.toImage(truth[k], truth[k + 1], 0);
        expect(Math.hypot(own.corners[k] - x, own.corners[k + 1] - y)).toBeLessThan(0.12);
      }
      // cornerSubPix seeks saddle points, and lies about half a pixel outside of a plain corner: middles agree.
      for (const axis of [0, 1]) {
        const middle = (c: ArrayLike<number>): number =>
          (c[axis] + c[axis + 2] + c[axis + 4] + c[axis + 6]) / 4;
        expect(Math.abs(middle(own.corners) - middle(theirs.corners))).toBeLessThan(0.25);
      }
    }
    // The same corners, straightened the same way: OpenCV's homography and ours agree to a few micrometres.
    const own = [0, 0, field.left, field.top, field.right, field.top, field.right, field.bottom];
    for (let i = 0; i < own.length; i++) expect(Math.abs(answer.field[i] - own[i])).toBeLessThan(0.01);
    const { height: up, footX, footY } = scale.camera!;
    expect(
      Math.hypot(footX - answer.centre[0], footY - answer.centre[1], up - answer.centre[2]),
    ).toBeLessThan(1.5);
    expect(up).toBeCloseTo(made.camera.centre[2], 0);
  });
});
