import { ringDistance } from './photoRing.ts';
import { REGION, type Scene, type Stone } from './photoScene.ts';

export type Backdrop = 'white' | 'grey' | 'black' | 'blue' | 'wood' | 'felt' | 'cloth' | 'lined';

export interface LightSpec {
  readonly backdrop: Backdrop;
  /** Brightness falls by this share from the brightest corner of the scene to 200 mm away, towards `from` degrees. */
  readonly falloff?: number;
  readonly from?: number;
  /** Share of the light that the lens loses 50 mm from the origin; it goes with the square of the distance. */
  readonly vignette?: number;
  /** A picture of a surface in the backdrop's place: linear light of red, green and blue at a place of the plane, mm. */
  readonly surface?: (x: number, y: number) => Rgb;
  /** A second lamp, which throws shadows of its own; the first one's stay. */
  readonly second?: { readonly from: number; readonly shadow: number; readonly softness: number };
  /** Depth of the pieces' shadows, 0…1, and how soft they are, mm. */
  readonly shadow?: number;
  readonly softness?: number;
  /** Scars on the stone as flat facets of about 7 mm, each brighter or darker by up to this share. Default 0. */
  readonly facets?: number;
  /** A shadow with a straight rim over half of the scene, as of a window's frame: depth 0…1, rim `at` mm from the origin towards `from`. */
  readonly band?: { readonly depth: number; readonly at: number; readonly softness: number };
}

export type Rgb = readonly [number, number, number];

/** Linear reflectances (not sRGB codes). */
const BACKDROPS: Readonly<Record<Backdrop, Rgb>> = {
  white: [0.8, 0.8, 0.78],
  grey: [0.22, 0.22, 0.23],
  black: [0.015, 0.015, 0.016],
  blue: [0.04, 0.1, 0.33],
  wood: [0.36, 0.21, 0.1],
  felt: [0.05, 0.16, 0.08],
  cloth: [0.44, 0.39, 0.31],
  lined: [0.03, 0.12, 0.09],
};
const STONES: Readonly<Record<Stone, Rgb>> = {
  flint: [0.13, 0.12, 0.11],
  obsidian: [0.012, 0.012, 0.014],
  pale: [0.5, 0.46, 0.4],
  jasper: [0.26, 0.07, 0.04],
};
const PAPER: Rgb = [0.82, 0.82, 0.81];
const INK: Rgb = [0.03, 0.03, 0.03];
const COVER: Rgb = [0.06, 0.05, 0.05];

/** Colour (linear, one in each of three places of `into`) of a region at a place of its own plane, light included. */
export type Paint = (region: number, x: number, y: number, into: Float64Array) => void;

export function createPaint(scene: Scene, light: LightSpec): Paint {
  const { falloff = 0, from = 45, shadow = 0, softness = 3, facets = 0, vignette = 0, band } = light;
  const [lx, ly] = [Math.cos((from * Math.PI) / 180), Math.sin((from * Math.PI) / 180)];
  const shade = shadow === 0 ? undefined : createShadow(scene, lx, ly, softness);
  const { second, surface } = light;
  const turn = ((second?.from ?? 0) * Math.PI) / 180;
  const other =
    second === undefined ? undefined : createShadow(scene, Math.cos(turn), Math.sin(turn), second.softness);
  return (region, x, y, into) => {
    const pictured = surface !== undefined && region === REGION.backdrop;
    const [r, g, b] = pictured ? surface(x, y) : baseColour(scene, light.backdrop, region);
    let level =
      (pictured ? 1 : texture(light.backdrop, scene, region, x, y)) *
      (1 - (falloff * (200 - (x * lx + y * ly))) / 400);
    level *= 1 - vignette * Math.min(1, (x * x + y * y) / 50 ** 2);
    if (facets > 0 && region >= REGION.PIECE) level *= 1 + facets * facet(x / 7, y / 7, region);
    if (region >= REGION.PIECE) level *= reliefAt(scene, region, x, y);
    if (shade !== undefined && region < REGION.PIECE) level *= 1 - shadow * shade(x, y);
    if (other !== undefined && region < REGION.PIECE) level *= 1 - second!.shadow * other(x, y);
    if (band !== undefined) {
      const t = (x * lx + y * ly - band.at) / band.softness + 0.5;
      level *= 1 - band.depth * smooth(Math.min(1, Math.max(0, t)));
    }
    const gloss = highlight(scene, region, x, y);
    into[0] = r * level + gloss;
    into[1] = g * level + gloss;
    into[2] = b * level + gloss;
  };
}

function baseColour({ spec }: Scene, backdrop: Backdrop, region: number): Rgb {
  if (region >= REGION.PIECE) return STONES[spec.pieces![region - REGION.PIECE].stone];
  if (region === REGION.paper) return PAPER;
  if (region === REGION.ink) return INK;
  return region === REGION.cover ? COVER : BACKDROPS[backdrop];
}

function texture(backdrop: Backdrop, scene: Scene, region: number, x: number, y: number): number {
  if (region >= REGION.PIECE) {
    const amount = scene.spec.pieces![region - REGION.PIECE].stone === 'pale' ? 0.15 : 0.35;
    return 1 + amount * (valueNoise(x / 6, y / 6, 1) + 0.5 * valueNoise(x / 1.5, y / 1.5, 2));
  }
  if (region !== REGION.backdrop) return 1;
  if (backdrop === 'wood') {
    const grain = y / 3 + 2 * valueNoise(x / 60, y / 12, 3);
    return 1 + 0.25 * Math.sin(2 * Math.PI * grain) + 0.15 * valueNoise(x / 8, y / 0.8, 4);
  }
  if (backdrop === 'felt') return 1 + 0.35 * valueNoise(x / 0.4, y / 0.4, 5);
  // A plain weave of threads 0.8 mm apart, some thicker than others.
  if (backdrop === 'cloth') {
    const weave = Math.sin((2 * Math.PI * x) / 0.8) * Math.sin((2 * Math.PI * y) / 0.8);
    return 1 + 0.15 * weave + 0.08 * valueNoise(x / 20, y / 0.8, 8) + 0.08 * valueNoise(x / 0.8, y / 20, 9);
  }
  // A cutting mat: lines of 0.35 mm every 10 mm, thinner ones every 5 mm.
  if (backdrop === 'lined') {
    const off = (v: number, every: number): number => Math.abs(v - every * Math.round(v / every));
    const line = Math.min(off(x, 10), off(y, 10)) < 0.175 || Math.min(off(x, 5), off(y, 5)) < 0.08;
    return (line ? 5 : 1) * (1 + 0.05 * valueNoise(x / 0.6, y / 0.6, 10));
  }
  return 1 + 0.02 * valueNoise(x / 3, y / 3, 6);
}

function reliefAt({ spec }: Scene, region: number, x: number, y: number): number {
  const { relief, place } = spec.pieces![region - REGION.PIECE];
  if (relief === undefined) return 1;
  const turn = ((place.angle ?? 0) * Math.PI) / 180;
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  const [dx, dy] = [x - place.x, y - place.y];
  return relief(c * dx + s * dy, c * dy - s * dx);
}

/** Small bright glints on glassy stone, well inside of it. */
function highlight({ spec }: Scene, region: number, x: number, y: number): number {
  if (region < REGION.PIECE || spec.pieces![region - REGION.PIECE].stone !== 'obsidian') return 0;
  return 0.4 * Math.max(0, valueNoise(x / 5, y / 5, 7) - 0.55);
}

/** Share of light lost on the ground: 1 under a piece's shadow, falling to 0 over `softness`; on a grid of 0.5 mm. */
function createShadow(
  scene: Scene,
  lx: number,
  ly: number,
  softness: number,
): (x: number, y: number) => number {
  const step = 0.5;
  const grids = scene.rings.map((ring, i) => {
    const rise = scene.heights[i + 1];
    const moved = ring.map((v, k) => v - rise * (k & 1 ? ly : lx));
    return ringDistance(moved, step, softness);
  });
  return (x, y) => {
    let dark = 0;
    for (const distance of grids) {
      const t = Math.min(1, Math.max(0, 0.5 - distance(x, y) / (2 * softness)));
      dark = Math.max(dark, t * t * (3 - 2 * t));
    }
    return dark;
  };
}

/** Smooth noise −1…1 on a lattice of whole numbers. */
export function valueNoise(x: number, y: number, seed: number): number {
  const [i, j] = [Math.floor(x), Math.floor(y)];
  const [fx, fy] = [smooth(x - i), smooth(y - j)];
  const low = lattice(i, j, seed) * (1 - fx) + lattice(i + 1, j, seed) * fx;
  const high = lattice(i, j + 1, seed) * (1 - fx) + lattice(i + 1, j + 1, seed) * fx;
  return low * (1 - fy) + high * fy;
}

/** One number −1…1 for all places that are nearest to the same one of a lattice of strewn points. */
function facet(x: number, y: number, seed: number): number {
  const [i, j] = [Math.floor(x), Math.floor(y)];
  let [least, value] = [Infinity, 0];
  for (let b = j - 1; b <= j + 1; b++) {
    for (let a = i - 1; a <= i + 1; a++) {
      const px = a + 0.5 + 0.5 * lattice(a, b, seed + 20);
      const py = b + 0.5 + 0.5 * lattice(a, b, seed + 40);
      const d = (px - x) ** 2 + (py - y) ** 2;
      if (d < least) [least, value] = [d, lattice(a, b, seed + 60)];
    }
  }
  return value;
}

function smooth(t: number): number {
  return t * t * (3 - 2 * t);
}

function lattice(i: number, j: number, seed: number): number {
  let h = Math.imul(i, 0x27d4eb2d) ^ Math.imul(j, 0x165667b1) ^ Math.imul(seed, 0x9e3779b1);
  h = Math.imul(h ^ (h >>> 15), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return ((h ^ (h >>> 16)) >>> 0) / 2147483648 - 1;
}
