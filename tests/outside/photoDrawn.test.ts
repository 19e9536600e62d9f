import { beforeAll, describe, expect, it } from 'vitest';
import { maskInside } from '../../src/geometry/polygonMask.ts';
import { decodeInNode } from '../../src/intake/photoNode.ts';
import type { Cv } from '../../src/intake/photoOpencv.ts';
import { readPhoto } from '../../src/intake/photoRead.ts';
import { findScale } from '../../src/intake/scale.ts';
import { DEFAULT_SCALE_SETTINGS } from '../../src/intake/settings.ts';
import { candidatesOf, chosenPiece } from '../../src/trace/tracePhoto.ts';
import { loadOpencv } from '../intake/support/opencv.ts';
import { askPython } from './python.ts';

/**
 * Photographs that share nothing with those of our own renderer: drawn by numpy, scipy and scikit-image with lumpy stone and
 * cloth, one hard lamp's shadow with a tinted rest of light in it, a camera's tone curve and sharpening, and JPEG with coarse
 * colours by Pillow. Polygons are filled at 6 × 6 places of each pixel.
 */
const PROGRAM = `
import base64, io
import numpy as np
from PIL import Image
from scipy.ndimage import gaussian_filter, shift
from skimage.draw import polygon2mask
W, H, PX, FINE = 760, 700, data["px"], 6
rng = np.random.default_rng(data["seed"])
light = lambda code: np.where(np.asarray(code) <= 10, np.asarray(code) / 3294.6, ((np.asarray(code) / 255 + .055) / 1.055) ** 2.4)
def cover(points):
  pts = np.asarray(points)[:, ::-1]
  top, left = np.floor(pts.min(0)).astype(int)
  high, wide = np.ceil(pts.max(0)).astype(int) - [top, left] + 1
  fine = polygon2mask((high * FINE, wide * FINE), (pts - [top, left] + .5) * FINE - .5)
  out = np.zeros((H, W, 1))
  out[top:top + high, left:left + wide, 0] = fine.reshape(high, FINE, wide, FINE).mean((1, 3))
  return out
def lumps(size, share):
  field = sum(gaussian_filter(rng.standard_normal((H, W)), size / 2 ** k) * size * .7 ** k for k in range(3))
  return 1 + share * (field / field.std())[..., None]
def turned(points, degrees, x, y):
  a = np.radians(degrees)
  return np.asarray(points) @ np.array([[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]]) * PX + [x, y]
rect = lambda x, y, w, h: [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
cloth = light(data["backdrop"]) * lumps(2, data["grain"]) * lumps(40, .03)
for box, code in data["bar"]:
  part = cover(turned(rect(*box), data["lean"], 330, 625))
  cloth = cloth * (1 - part) + part * light([code] * 3)
ring = turned(data["outline"], data["turn"], 380, 285)
stone = cover(ring)
dark = np.zeros((H, W))
for step in np.linspace(0, 1, 30):
  dark = np.maximum(dark, shift(stone[..., 0], (step * data["cast"][1], step * data["cast"][0]), order=1))
dark = gaussian_filter(dark, .8)[..., None]
rest = data["rest"] * np.array([.95, 1, 1.06])
scene = cloth * (1 - dark * (1 - rest)) * (1 - stone) + stone * light(data["stone"]) * lumps(12, .12) * lumps(2, .04)
scene = scene * (1 - .25 * np.linspace(0, 1, W)[None, :, None])
scene = np.stack([gaussian_filter(scene[..., c], .8) for c in range(3)], 2)
scene = np.clip(scene + rng.standard_normal(scene.shape) * np.sqrt(np.maximum(scene, 0) / 6000), 0, 1)
code = np.where(scene <= .0031308, 12.92 * scene, 1.055 * scene ** (1 / 2.4) - .055)
code = .85 * code + .15 * code * code * (3 - 2 * code)
code = code + .3 * (code - np.stack([gaussian_filter(code[..., c], 1) for c in range(3)], 2))
file = io.BytesIO()
Image.fromarray(np.clip(np.round(code * 255), 0, 255).astype(np.uint8)).save(file, "JPEG", quality=data["quality"], subsampling=2)
print(json.dumps({
  "jpeg": base64.b64encode(file.getvalue()).decode(),
  "mask": base64.b64encode((stone[..., 0] >= .5).astype(np.uint8).tobytes()).decode(),
}))
`;

interface Drawn {
  readonly jpeg: string;
  readonly mask: string;
}

let cv: Cv;
beforeAll(async () => {
  ({ cv } = await loadOpencv());
});

const [WIDTH, HEIGHT, PX] = [760, 700, 10];

/** Half a point's outline and its mirror image, mm: notched, with barbs. */
const NOTCHED = mirrored([0, -22, 3, -14, 7, -2, 10, 9, 11, 13, 7, 14, 6, 16, 8, 18, 9, 22]);
const TRIANGLE = mirrored([0, -22, 4, -12, 8, 0, 13, 18]);

function mirrored(half: readonly number[]): [number, number][] {
  const right = half.flatMap((x, i): [number, number][] => (i % 2 === 0 ? [[x, half[i + 1]]] : []));
  return [...right, ...right.map(([x, y]): [number, number] => [-x, y]).reverse()];
}

type Box = readonly [readonly [number, number, number, number], number];
const CARD: Box = [[-25, -6, 50, 12], 240];
/** Blocks of 5 mm: two rows of them; one row with a ruler's ticks hanging on. */
const TWO_ROWS: readonly Box[] = [
  CARD,
  ...[-15, -5, 5].flatMap((x): Box[] => [
    [[x, -3, 5, 3], 28],
    [[x + 5, 0, 5, 3], 28],
  ]),
];
const TICKED: readonly Box[] = [
  CARD,
  ...[-15, -5, 5].map((x): Box => [[x, -2, 5, 4], 28]),
  ...Array.from({ length: 31 }, (_, k): Box => [[k - 15, 1.9, 0.2, k % 5 === 0 ? 2 : 1.3], 28]),
];

describe('photographs drawn by other hands', () => {
  it.each([
    {
      name: 'brown stone in a hard shadow on grey card',
      ...{ outline: NOTCHED, stone: [150, 104, 58], backdrop: [132, 132, 130], grain: 0.01 },
      ...{ turn: 200, cast: [26, 18], rest: 0.4, bar: TWO_ROWS, lean: 2, quality: 88, seed: 1 },
    },
    {
      name: 'dark stone in a deep shadow on green cloth',
      ...{ outline: NOTCHED, stone: [74, 68, 62], backdrop: [60, 150, 92], grain: 0.03 },
      ...{ turn: 75, cast: [18, 20], rest: 0.2, bar: TICKED, lean: -3, quality: 80, seed: 2 },
    },
    {
      name: 'a dark triangle on red cloth',
      ...{ outline: TRIANGLE, stone: [66, 62, 60], backdrop: [138, 40, 46], grain: 0.06 },
      ...{ turn: 310, cast: [-14, 10], rest: 0.5, bar: TWO_ROWS, lean: 1, quality: 85, seed: 3 },
    },
    {
      name: 'pale stone on black card',
      ...{ outline: TRIANGLE, stone: [206, 198, 182], backdrop: [30, 30, 31], grain: 0.05 },
      ...{ turn: 130, cast: [10, 10], rest: 0.4, bar: TICKED, lean: 0, quality: 62, seed: 4 },
    },
  ])('$name, seed $seed: scale within 0.2 %, IoU 0.99 or more', async ({ name: _, ...scene }) => {
    const { jpeg, mask } = askPython<Drawn>(PROGRAM, { ...scene, px: PX });
    const photo = await readPhoto(Buffer.from(jpeg, 'base64'), decodeInNode);
    const scale = findScale(photo, { ...DEFAULT_SCALE_SETTINGS, method: 'bar', block: 5 }, cv);
    expect(Math.abs(scale.pxPerMm / PX - 1)).toBeLessThan(0.002);
    const { ring } = chosenPiece(candidatesOf(photo, scale, cv), 1);
    const seen = maskInside([ring], { x0: 0, y0: 0, cell: 1, columns: WIDTH, rows: HEIGHT });
    let [both, either] = [0, 0];
    for (const [i, truth] of Buffer.from(mask, 'base64').entries()) {
      both += truth & seen[i];
      either += truth | seen[i];
    }
    expect(both / either).toBeGreaterThan(0.99);
  });
});
