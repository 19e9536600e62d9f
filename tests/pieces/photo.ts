import type { Points2 } from '../../src/geometry/types.ts';
import type { Photo, Pixels } from '../../src/intake/photoTypes.ts';
import { type Camera, type CameraSpec, createCamera, seenRing } from './photoCamera.ts';
import { createPaint, type LightSpec } from './photoLight.ts';
import { createScene, type Scene, type SceneSpec } from './photoScene.ts';
import { createRandom } from './random.ts';

export interface PhotoSpec extends SceneSpec {
  readonly camera: CameraSpec;
  readonly light: LightSpec;
  readonly seed: number;
  /** Gaussian blur of lens and sensor, pixels (standard deviation). Default 0.7. */
  readonly blur?: number;
  /** Standard deviation of noise in 8-bit sRGB steps. Default 1.5. */
  readonly noise?: number;
}

export interface MadePhoto {
  readonly pixels: Pixels;
  readonly camera: Camera;
  /** Rings of the pieces in plane mm (at their heights), and as they are seen in the picture, pixels. */
  readonly rings: readonly Points2[];
  readonly seen: readonly Points2[];
}

/** Samples along one side of a pixel where regions meet. */
const FINE = 8;

/**
 * A photograph with exact truth. Regions are told apart at 8 × 8 places of every pixel that an edge may cross, so that
 * edges lie where they should to about 0.01 pixels; light is linear until the sRGB curve at the end.
 */
export function makePhoto(spec: PhotoSpec): MadePhoto {
  const camera = createCamera(spec.camera);
  const scene = createScene(spec);
  const linear = render(camera, scene, spec.light);
  const { width, height } = spec.camera;
  const blur = spec.blur ?? 0.7;
  if (blur > 0) for (const channel of linear) blurInPlace(channel, width, height, blur);
  return {
    pixels: { width, height, rgba: develop(linear, spec.noise ?? 1.5, spec.seed) },
    camera,
    rings: scene.rings,
    seen: scene.rings.map((ring, i) => seenRing(camera, ring, scene.heights[i + 1])),
  };
}

function render(camera: Camera, scene: Scene, light: LightSpec): Float32Array[] {
  const { width, height } = camera.spec;
  const paint = createPaint(scene, light);
  const hits = new Float64Array(2 * scene.heights.length);
  const look = (u: number, v: number): number => {
    camera.castInto(u, v, scene.heights, hits);
    return scene.regionAt(hits);
  };
  const linear = [0, 1, 2].map(() => new Float32Array(width * height));
  const colour = new Float64Array(3);
  const add = (pixel: number, region: number, share: number): void => {
    const at = 2 * Math.max(0, region - 15);
    paint(region, hits[at], hits[at + 1], colour);
    for (let c = 0; c < 3; c++) linear[c][pixel] += share * colour[c];
  };
  let above = new Uint8Array(width + 1);
  let below = Uint8Array.from({ length: width + 1 }, (_, i) => look(i - 0.5, -0.5));
  for (let v = 0; v < height; v++) {
    [above, below] = [below, above];
    for (let u = 0; u <= width; u++) below[u] = look(u - 0.5, v + 0.5);
    for (let u = 0; u < width; u++) {
      const corner = above[u];
      if (corner === above[u + 1] && corner === below[u] && corner === below[u + 1]) {
        camera.castInto(u, v, scene.heights, hits);
        add(v * width + u, corner, 1);
        continue;
      }
      for (let k = 0; k < FINE * FINE; k++) {
        const [i, j] = [k % FINE, Math.floor(k / FINE)];
        const region = look(u + (i + 0.5) / FINE - 0.5, v + (j + 0.5) / FINE - 0.5);
        add(v * width + u, region, 1 / (FINE * FINE));
      }
    }
  }
  return linear;
}

function blurInPlace(channel: Float32Array, width: number, height: number, sigma: number): void {
  const reach = Math.ceil(3.5 * sigma);
  const raw = Float64Array.from({ length: 2 * reach + 1 }, (_, i) =>
    Math.exp(-((i - reach) ** 2) / (2 * sigma * sigma)),
  );
  const total = raw.reduce((sum, w) => sum + w, 0);
  const kernel = raw.map((w) => w / total);
  const line = new Float64Array(Math.max(width, height) + 2 * reach);
  const pass = (start: number, step: number, count: number): void => {
    for (let i = -reach; i < count + reach; i++) {
      line[i + reach] = channel[start + step * Math.min(count - 1, Math.max(0, i))];
    }
    for (let i = 0; i < count; i++) {
      let sum = 0;
      for (let k = 0; k < kernel.length; k++) sum += kernel[k] * line[i + k];
      channel[start + step * i] = sum;
    }
  };
  for (let v = 0; v < height; v++) pass(v * width, 1, width);
  for (let u = 0; u < width; u++) pass(u, width, height);
}

/** Steps of linear light in the table of the sRGB curve: its error is below a fifth of an 8-bit code. */
const STEPS = 4095;
/** sRGB codes 0…255 (IEC 61966-2-1) of even steps of linear light. */
const CODE = Float64Array.from({ length: STEPS + 2 }, (_, i) => {
  const light = i / STEPS;
  return 255 * (light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055);
});

/** Linear light → 8-bit sRGB with noise. */
function develop(linear: readonly Float32Array[], noise: number, seed: number): Uint8ClampedArray {
  const random = createRandom(seed);
  const grain = Float64Array.from({ length: 1 << 14 }, () => noise * random.normal());
  const count = linear[0].length;
  const rgba = new Uint8ClampedArray(4 * count).fill(255);
  for (let c = 0; c < 3; c++) {
    const channel = linear[c];
    for (let i = 0; i < count; i++) {
      const light = STEPS * Math.min(1, Math.max(0, channel[i]));
      const k = Math.floor(light);
      const code = CODE[k] + (CODE[k + 1] - CODE[k]) * (light - k);
      rgba[4 * i + c] = noise === 0 ? code : code + grain[Math.floor(random.next() * grain.length)];
    }
  }
  return rgba;
}

/** The made picture as what `readPhoto` would give for an opaque upright PNG without tags, reduced by `factor`. */
export function asPhoto(pixels: Pixels, factor = 1, tags: Partial<Photo> = {}): Photo {
  const [width, height] = [Math.floor(pixels.width / factor), Math.floor(pixels.height / factor)];
  const rgba = new Uint8ClampedArray(4 * width * height);
  for (let i = 0; i < rgba.length; i++) {
    const [c, u, v] = [i & 3, (i >> 2) % width, Math.floor((i >> 2) / width)];
    let sum = 0;
    for (let b = 0; b < factor; b++) {
      for (let a = 0; a < factor; a++)
        sum += pixels.rgba[4 * ((v * factor + b) * pixels.width + u * factor + a) + c];
    }
    rgba[i] = sum / (factor * factor);
  }
  return {
    kind: 'photo',
    ...pixels,
    reduced: { width, height, rgba, factor },
    masked: false,
    format: 'png',
    orientation: 1,
    camera: false,
    warnings: [],
    ...tags,
  };
}
