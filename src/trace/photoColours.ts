import type { Pixels } from '../intake/photoTypes.ts';
import { wholePixels } from '../intake/scaleLight.ts';
import type { Region } from './photoRegion.ts';
import { OTHERS, SUMS, SURE_IN, SURE_OUT, TILE, TileSums } from './photoTileSums.ts';

/** So many tiles are read for each that is wanted, as a rule. */
const NEAR_BY = 3;
/** Tiles to either side that tell the local colours; where too few of their pixels can, the wider reach. */
const REACHES = [1, 4] as const;
const FEWEST = 24;
/** Variance of a colour, in squared 8-bit codes, that even a plain surface has. */
const LEAST_VARIANCE = 8;
/** One pixel's say is limited, so that a glint or a speck does not outvote its neighbours. */
export const MOST_SAY = 12;
/** Numbers of a normal distribution: three means, the six of half the inverse covariance, squares first, and half the logarithm of its determinant. */
const NORMAL = 10;
/** Of a tile: those of the inside, of the outside, and of the outside in shadow. */
const [IN, OUT, SHADED] = [0, NORMAL, 2 * NORMAL];
const NUMBERS = 3 * NORMAL;
/** From this half squared distance on (four deviations) a colour is neither side's own near by. */
const FOREIGN = 8;
/** Below this half squared distance (three deviations) from the line between the two sides a colour may be a mixture of both. */
const MIXED = 2.5;
/** Logarithm of how much rarer a facet unlike those near by is, or a shadow that begins here (practice). */
const RARE = -5;
/** What a shadow leaves of the codes, and the standard deviation of that share (practice). */
const [SHADE, SHADE_SPREAD] = [0.8, 0.15];

/** The colours to either side of a boundary, by tiles of cells. */
export interface LocalColours {
  /** Tiles along a row. */
  readonly tiles: number;
  /** Leads from a tile to its place in `numbers`, −1 where nothing is to be decided. */
  readonly index: Int32Array;
  readonly numbers: Float64Array;
  /** The colours of the whole inside, as one normal distribution. */
  readonly whole: Float64Array;
}

/** The place in `numbers` of the colours at a cell. */
export function placeOf({ tiles, index }: LocalColours, x: number, y: number): number {
  return index[Math.floor(y / TILE) * tiles + Math.floor(x / TILE)];
}

/** A rectangle of a picture: its first pixel's place among the codes, codes in a row of the picture, and its size in pixels. */
export interface Block {
  readonly rgba: Uint8ClampedArray;
  readonly first: number;
  readonly pitch: number;
  readonly columns: number;
  readonly rows: number;
}

/**
 * How much likelier each pixel of a block is of the inside than of the outside: logarithm of the ratio of two normal
 * distributions, limited; into `says`, from `to` on, rows `width` apart. A colour that is neither side's near by may be a facet like others of
 * the piece, or a shadow on the outside.
 */
export function likelierInto(
  { numbers, whole }: LocalColours,
  place: number,
  { rgba, first, pitch, columns, rows }: Block,
  says: Float32Array,
  to: number,
  width: number,
): void {
  // Read once for all pixels of the block.
  const i = place + IN;
  const inR = numbers[i];
  const inG = numbers[i + 1];
  const inB = numbers[i + 2];
  const inRR = numbers[i + 3];
  const inGG = numbers[i + 4];
  const inBB = numbers[i + 5];
  const inRG = numbers[i + 6];
  const inRB = numbers[i + 7];
  const inGB = numbers[i + 8];
  const inSpread = numbers[i + 9];
  const o = place + OUT;
  const outR = numbers[o];
  const outG = numbers[o + 1];
  const outB = numbers[o + 2];
  const outRR = numbers[o + 3];
  const outGG = numbers[o + 4];
  const outBB = numbers[o + 5];
  const outRG = numbers[o + 6];
  const outRB = numbers[o + 7];
  const outGB = numbers[o + 8];
  const outSpread = numbers[o + 9];
  for (let row = 0; row < rows; row++) {
    let pixel = first + row * pitch;
    for (let at = to + row * width, end = at + columns; at < end; at++, pixel += 4) {
      const r = rgba[pixel];
      const g = rgba[pixel + 1];
      const b = rgba[pixel + 2];
      // As `awayFrom` has it.
      let x = r - inR;
      let y = g - inG;
      let z = b - inB;
      const awayIn = x * (inRR * x + inRG * y + inRB * z) + y * (inGG * y + inGB * z) + z * z * inBB;
      x = r - outR;
      y = g - outG;
      z = b - outB;
      const awayOut = x * (outRR * x + outRG * y + outRB * z) + y * (outGG * y + outGB * z) + z * z * outBB;
      let inside = -awayIn - inSpread;
      let outside = -awayOut - outSpread;
      if (awayIn > FOREIGN && awayOut > FOREIGN && !isMixed(numbers, place, r, g, b)) {
        inside = Math.max(inside, RARE - awayFrom(whole, 0, r, g, b) - whole[9]);
        outside = Math.max(
          outside,
          RARE - awayFrom(numbers, place + SHADED, r, g, b) - numbers[place + SHADED + 9],
        );
      }
      says[at] = Math.max(-MOST_SAY, Math.min(MOST_SAY, inside - outside));
    }
  }
}

/**
 * Whether a colour lies between the two sides', as where blur runs them into one. Products of differences of colour are in the
 * measure of a side, as `awayFrom` has them; without calls, which would lay out each number anew.
 */
function isMixed(numbers: Float64Array, place: number, r: number, g: number, b: number): boolean {
  const i = place + IN;
  const o = place + OUT;
  const towardsR = numbers[i] - numbers[o];
  const towardsG = numbers[i + 1] - numbers[o + 1];
  const towardsB = numbers[i + 2] - numbers[o + 2];
  const offR = r - numbers[o];
  const offG = g - numbers[o + 1];
  const offB = b - numbers[o + 2];
  const rr = numbers[o + 3];
  const gg = numbers[o + 4];
  const bb = numbers[o + 5];
  const rg = numbers[o + 6];
  const rb = numbers[o + 7];
  const gb = numbers[o + 8];
  // Twice the way from the outside to the inside, in the measure of the outside.
  const wayR = 2 * rr * towardsR + rg * towardsG + rb * towardsB;
  const wayG = rg * towardsR + 2 * gg * towardsG + gb * towardsB;
  const wayB = rb * towardsR + gb * towardsG + 2 * bb * towardsB;
  const share =
    (offR * wayR + offG * wayG + offB * wayB) / (towardsR * wayR + towardsG * wayG + towardsB * wayB);
  const inside = Math.max(0, Math.min(1, share));
  const outside = 1 - inside;
  const x = offR - inside * towardsR;
  const y = offG - inside * towardsG;
  const z = offB - inside * towardsB;
  const fromIn =
    x * (numbers[i + 3] * x + numbers[i + 6] * y + numbers[i + 7] * z) +
    y * (numbers[i + 4] * y + numbers[i + 8] * z) +
    z * z * numbers[i + 5];
  const fromOut = x * (rr * x + rg * y + rb * z) + y * (gg * y + gb * z) + z * z * bb;
  // Each side brings its own spread by its share.
  return (inside * inside * fromOut + outside * outside * fromIn) * MIXED >= fromIn * fromOut;
}

/** Half the squared distance of a colour from one side's, in standard deviations along each direction of colour. */
function awayFrom(numbers: Float64Array, at: number, red: number, green: number, blue: number): number {
  const r = red - numbers[at];
  const g = green - numbers[at + 1];
  const b = blue - numbers[at + 2];
  return (
    r * (numbers[at + 3] * r + numbers[at + 6] * g + numbers[at + 7] * b) +
    g * (numbers[at + 4] * g + numbers[at + 8] * b) +
    b * b * numbers[at + 5]
  );
}

/**
 * Reads the colours on either side of a region's boundary near the cells of `band`. Cells that touch the boundary
 * (`mixed`) say nothing, for it may be out by a cell; nor do those that `other` (whole picture) marks say of the outside.
 * Only tiles near the band are looked at, as a rule those next to it.
 */
export function localColours(
  region: Region,
  band: Uint8Array,
  mixed: Uint8Array,
  picture: Pixels,
  fine: Pixels,
  ratio: number,
  other: Uint8Array | undefined,
): LocalColours {
  const { width, height } = region;
  const tiles = Math.ceil(width / TILE);
  const rows = Math.ceil(height / TILE);
  const index = new Int32Array(tiles * rows).fill(-1);
  const wanted: number[] = [];
  for (let i = 0; i < band.length; i++) {
    // Over gaps at once.
    if (band[i] === 0) i = band.indexOf(1, i);
    if (i < 0) break;
    const y = Math.floor(i / width);
    const tile = Math.floor(y / TILE) * tiles + Math.floor((i - y * width) / TILE);
    if (index[tile] >= 0) continue;
    index[tile] = NUMBERS * wanted.length;
    wanted.push(tile);
  }
  const cells = { region, mixed, picture, fine: wholePixels(fine), ratio, other };
  const read = new TileSums(tiles, rows, cells, NEAR_BY * wanted.length);
  const numbers = new Float64Array(NUMBERS * wanted.length);
  const [inside, outside] = [new Float64Array(SUMS), new Float64Array(SUMS)];
  wanted.forEach((tile, k) => {
    bothAt(read, tile, inside, outside);
    setNormal(numbers, NUMBERS * k + IN, inside);
    setNormal(numbers, NUMBERS * k + OUT, outside);
    setNormal(numbers, NUMBERS * k + SHADED, outside, SHADE, SHADE_SPREAD);
  });
  const whole = new Float64Array(NORMAL);
  // The whole inside, as far as tiles near its boundary tell it.
  read.gatherAll(SURE_IN, inside.fill(0));
  setNormal(whole, 0, inside);
  return { tiles, index, numbers, whole };
}

/** Sums of the nearest sure cells of either side; where there are too few of one far and wide, of all of its cells. */
function bothAt(read: TileSums, tile: number, inside: Float64Array, outside: Float64Array): void {
  read.gather(tile, REACHES[0], SURE_IN, inside.fill(0), SURE_OUT, outside.fill(0));
  if (inside[0] < FEWEST) fartherAt(read, tile, SURE_IN, inside);
  if (outside[0] < FEWEST) fartherAt(read, tile, SURE_OUT, outside);
}

function fartherAt(read: TileSums, tile: number, side: number, into: Float64Array): void {
  read.gather(tile, REACHES[1], side, into.fill(0));
  if (into[0] >= FEWEST) return;
  for (const reach of [REACHES[1], Math.max(read.tiles, read.rows)]) {
    read.gather(tile, reach, side, into.fill(0), side + OTHERS, into);
    if (into[0] >= FEWEST) return;
  }
}

/**
 * A normal distribution of colours from their sums. Light moves a surface's colours along one line, which the covariance
 * holds: what lies beside that line tells stone from a shadow as bright. `shade` ± `spread` is a share of the codes that is left of them.
 */
function setNormal(numbers: Float64Array, to: number, sums: Float64Array, shade = 1, spread = 0): void {
  const n = Math.max(1, sums[0]);
  const r = sums[1] / n;
  const g = sums[2] / n;
  const b = sums[3] / n;
  const more = spread * spread;
  const rr = Math.max(0, sums[4] / n - r * r) + LEAST_VARIANCE + more * r * r;
  const gg = Math.max(0, sums[5] / n - g * g) + LEAST_VARIANCE + more * g * g;
  const bb = Math.max(0, sums[6] / n - b * b) + LEAST_VARIANCE + more * b * b;
  const rg = sums[7] / n - r * g + more * r * g;
  const rb = sums[8] / n - r * b + more * r * b;
  const gb = sums[9] / n - g * b + more * g * b;
  const c0 = gg * bb - gb * gb;
  const c1 = rb * gb - rg * bb;
  const c2 = rg * gb - rb * gg;
  const determinant = rr * c0 + rg * c1 + rb * c2;
  numbers[to] = shade * r;
  numbers[to + 1] = shade * g;
  numbers[to + 2] = shade * b;
  numbers[to + 3] = c0 / determinant / 2;
  numbers[to + 4] = (rr * bb - rb * rb) / determinant / 2;
  numbers[to + 5] = (rr * gg - rg * rg) / determinant / 2;
  // Products come twice in the square.
  numbers[to + 6] = c1 / determinant;
  numbers[to + 7] = c2 / determinant;
  numbers[to + 8] = (rg * rb - rr * gb) / determinant;
  numbers[to + 9] = Math.log(determinant) / 2;
}
