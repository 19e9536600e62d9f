import { distanceTo, fartherThan } from '../geometry/rasterDistance.ts';
import { dilated, opened } from '../geometry/rasterMorphology.ts';
import { eachPart } from '../geometry/rasterParts.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import type { OffBackdrop } from './photoBackdrop.ts';
import type { Mouth } from './photoBays.ts';
import { evenBays } from './photoEvenBays.ts';
import {
  COLOURED,
  colourBeside,
  isParted,
  isPartedNear,
  isShadow,
  isUnlikeStone,
  lighterBeside,
  PARTS,
} from './photoShadows.ts';
import { type Rims, sharpEdges } from './photoSharpEdges.ts';

/** Gaps in an edge up to twice this share of the root of all cells wide are closed, but of at least so many cells. */
const [GAP, LEAST_GAP] = [0.014, 3];
/** The same, cells, where what is closed in must not go on over the notches of a rim, which are as wide. */
const TIGHT = 1;

/** Edges this far from all pieces are none of their rims, cells; fewer cells of them are dust. */
const [ASTRAY, FEW_ASTRAY] = [3, 20];
/** A part that edges close in is a piece's when this share of it was taken for one. */
const OWN = 0.25;
/** Share of the outer rim of a part at which a sharp edge must stand, and within how many cells. */
const RIMMED = 0.5;
const BESIDE = 2;
/** A part of which more is within so many deviations of the backdrop is backdrop. */
const [ALIKE, BACK] = [0.5, 3.5];
/** Smaller parts are left as they were, and smaller facets are not looked at by themselves: cells. */
const [LEAST_PART, LEAST_FACET] = [6, 40];
/** Closed parts tell where the stone of a region ends when they hold this share of what surely is stone in it. */
const HELD = 0.97;
/** Stone of which the colour differs by less from the backdrop's (logarithms) may have facets that look like its shadow. */
const NEAR_COLOUR = 0.15;
/** A facet is not so many times darker than the stone next to it (logarithm): what is, and darker than the backdrop, is its shadow. */
const FAR_LIGHTER = Math.log(10);
/** Cells of pieces, and what is to be known of some of them; absent where there are none such. */
export interface RightCells {
  readonly mask: Uint8Array;
  /** 1 on those that no finer look may give back to the backdrop. */
  readonly firm?: Uint8Array;
  /**
   * 1 on cells that sharp edges close in: with wide gaps in the edges, and with hardly any. Absent where such edges stand all round the
   * pieces.
   */
  readonly closed?: readonly [loosely: () => Uint8Array, tightly: () => Uint8Array];
  /** Cells at the mouths of bays that were filled; absent where there was nothing to set right. */
  readonly mouths?: readonly Mouth[];
  /** Whether sharp edges stand off the pieces too, or not all round them. */
  readonly astray?: boolean;
  /** Cells left out that may be a hard shadow or a darker facet of a stone of the backdrop's colour: how wide their part is, cells. */
  readonly hem?: Float32Array;
}

/**
 * Cells of pieces, set right by the sharp edges round them. Beside what was taken for a piece, cells that are closed in with it
 * by a sharp edge are stone too: facets as light as the backdrop, glints. Cells that no sharp edge closes in while all that
 * surely is stone is closed in are shadow. Hard shadows, which are closed in as well, stay as they were.
 *
 * @param mask 1 on what was taken for a piece; @param sure 1 on what surely is stone
 * @param bare 1 on what surely is no glint (`CoarsePieces`): of a coloured backdrop's colour stone is not
 */
export function setRight(
  off: OffBackdrop,
  grid: Pixels,
  mask: Uint8Array,
  sure: Uint8Array,
  bare: Uint8Array,
): RightCells {
  const { width, height } = off;
  const rims = sharpEdges(off, grid, mask);
  if (isRimmed(rims, mask, width)) return { mask };
  const closed = closedIn(rims, mask, width, gapOf(width, height));
  const out = mask.slice();
  const { added, hem } = closedBays(off, grid, mask, closed, rims, off.colour > COLOURED ? bare : undefined);
  for (let i = added.indexOf(1); i >= 0; i = added.indexOf(1, i + 1)) out[i] = 1;
  const even = evenBays(off, out, rims.unrest[0]);
  for (const cell of even.cells) out[cell] = added[cell] = 1;
  for (const cell of openRests(mask, sure, closed, width)) out[cell] = 0;
  const firm = firmOf(added, out, width);
  return {
    mask: out,
    closed: [() => closed, () => closedIn(rims, mask, width, TIGHT)],
    astray: true,
    mouths: even.mouths,
    ...(firm === undefined ? {} : { firm }),
    ...(hem === undefined ? {} : { hem }),
  };
}

/** Whether sharp edges stand all round the mask, but for specks of it, and nowhere else: then there is nothing to set right. */
function isRimmed({ edges }: Rims, mask: Uint8Array, width: number): boolean {
  const body = opened(mask, width);
  const beside = dilated(body, width);
  const near = dilated(body, width, 2 * ASTRAY + 1);
  return countOff(edges, near) < FEW_ASTRAY && countBare(edges, body, beside, width) < LEAST_PART;
}

/** Edges off some cells. */
function countOff(edges: Uint8Array, cells: Uint8Array): number {
  let count = 0;
  for (let i = 0; i < edges.length; i++) count += edges[i] & (1 - cells[i]);
  return count;
}

/** Cells beside a body next to which there is no edge. */
function countBare(edges: Uint8Array, body: Uint8Array, beside: Uint8Array, width: number): number {
  let count = 0;
  for (let i = 0; i < body.length; i++) if (beside[i] > body[i] && !hasEdge(edges, i, width)) count++;
  return count;
}

/** Whether an edge crosses one of the 5 × 5 cells about one. */
function hasEdge(edges: Uint8Array, cell: number, width: number): boolean {
  for (let row = cell - BESIDE * width; row <= cell + BESIDE * width; row += width) {
    for (let i = row - BESIDE; i <= row + BESIDE; i++) if (edges[i] === 1) return true;
  }
  return false;
}

/** Parts of closed cells beside the mask that are stone, and those that may be. */
function closedBays(
  off: OffBackdrop,
  grid: Pixels,
  mask: Uint8Array,
  closed: Uint8Array,
  { edges, unrest }: Rims,
  bare: Uint8Array | undefined,
): { readonly added: Uint8Array; readonly hem?: Float32Array } {
  const { width } = off;
  const added = new Uint8Array(mask.length);
  let hem: Float32Array | undefined;
  const besideEdge = distanceTo(edges, width);
  const toOpen = distanceTo(
    closed.map((one) => 1 - one),
    width,
  );
  eachPart(closed, width, 4, (part) => {
    let own = 0;
    for (const cell of part) own += mask[cell];
    if (own < OWN * part.length || own < LEAST_PART) return;
    const bays = new Uint8Array(mask.length);
    // The outermost cells of a closed part are those that the edge itself crosses.
    for (const cell of part) if (mask[cell] === 0 && toOpen[cell] > 1.5) bays[cell] = 1;
    eachFacet(bays, edges, width, (bay) => {
      if (bay.length < LEAST_PART) return;
      let [rim, sharp, seam, parted, loosely] = [0, 0, 0, 0, 0];
      const pure = purest(bay, mask, width);
      const alike = pure.filter((cell) => likeBackdrop(off, cell, unrest) || bare?.[cell] === 1).length;
      for (const cell of bay) {
        if (toOpen[cell] <= 2.5) {
          rim++;
          if (besideEdge[cell] <= BESIDE && !isReached(edges, toOpen, cell, width)) sharp++;
        } else if (mask[cell - 1] + mask[cell + 1] + mask[cell - width] + mask[cell + width] > 0) {
          seam++;
          if (isParted(grid, cell)) parted++;
          if (isPartedNear(grid, cell)) loosely++;
        }
      }
      if (sharp < RIMMED * rim || alike > ALIKE * pure.length) return;
      // What runs into the stone softly is a glint of it; what a sharp edge parts from it is a shadow or another facet.
      const isSet = seam > 0 && loosely >= PARTS * seam;
      if (isSet && lighterBeside(off, bay, mask) > FAR_LIGHTER) return;
      const isOther = isSet && isUnlikeStone(off, bay, mask);
      if (!isOther && (parted < PARTS * seam || !isShadow(off, bay, unrest[0]))) {
        for (const cell of bay) added[cell] = 1;
      } else if (seam > 0 && colourBeside(off, bay, mask) < NEAR_COLOUR) {
        hem ??= new Float32Array(mask.length);
        for (const cell of bay) hem[cell] = bay.length / Math.max(seam, rim);
      }
    });
  });
  return { added, ...(hem === undefined ? {} : { hem }) };
}

/**
 * The parts of some cells that sharp edges set apart from each other, as a shadow from a facet beside it. Cells that an edge crosses
 * go with the part that they are nearest to; parts of few cells do not count.
 */
function eachFacet(
  cells: Uint8Array,
  edges: Uint8Array,
  width: number,
  use: (part: readonly number[]) => void,
): void {
  eachPart(cells, width, 4, (whole) => {
    const within = new Uint8Array(cells.length);
    for (const cell of whole) within[cell] = 1 - edges[cell];
    const label = new Int32Array(cells.length).fill(-1);
    const facets: number[][] = [];
    eachPart(within, width, 4, (facet) => {
      if (facet.length < LEAST_FACET) return;
      for (const cell of facet) label[cell] = facets.length;
      facets.push([...facet]);
    });
    if (facets.length < 2) {
      use(whole);
      return;
    }
    for (const cell of whole) within[cell] = label[cell] < 0 ? 1 : 0;
    // Breadth first from all facets at once.
    const queue = facets.flat();
    for (const cell of queue) {
      for (const next of [cell - 1, cell + 1, cell - width, cell + width]) {
        if (within[next] !== 1) continue;
        within[next] = 0;
        label[next] = label[cell];
        facets[label[cell]].push(next);
        queue.push(next);
      }
    }
    for (const facet of facets) use(facet);
  });
}

/** Those cells of a bay that no cell of the mask touches: beside it cells are a little of it. Of a bay that is too narrow for that, all. */
export function purest(bay: readonly number[], mask: Uint8Array, width: number): readonly number[] {
  const pure = bay.filter((cell) => {
    for (let row = cell - width; row <= cell + width; row += width)
      if (mask[row - 1] + mask[row] + mask[row + 1] > 0) return false;
    return true;
  });
  return pure.length > 0 ? pure : bay;
}

/** Whether the open backdrop comes up to a cell without crossing an edge: at the mouth of a notch edges stand to both sides, and none across. */
function isReached(edges: Uint8Array, toOpen: Float32Array, cell: number, width: number): boolean {
  const nearer = (a: number, b: number): number => (toOpen[cell + b] < toOpen[cell + a] ? b : a);
  const outward = [1, -width, width].reduce(nearer, -1);
  for (let k = -BESIDE; k <= BESIDE; k++) if (edges[cell + k * outward] === 1) return false;
  return true;
}

/** Cells of the mask that nothing closes in though all that surely is stone about them is closed in. */
function openRests(mask: Uint8Array, sure: Uint8Array, closed: Uint8Array, width: number): number[] {
  const found: number[] = [];
  const toClosed = distanceTo(closed, width);
  eachPart(mask, width, 4, (region) => {
    let [all, held] = [0, 0];
    for (const cell of region) {
      all += sure[cell];
      if (sure[cell] === 1 && toClosed[cell] <= 1) held++;
    }
    if (all < OWN * region.length || held < HELD * all) return;
    const beyond = new Uint8Array(mask.length);
    for (const cell of region) if (toClosed[cell] > 1.5 && sure[cell] === 0) beyond[cell] = 1;
    eachPart(beyond, width, 4, (rest) => {
      if (rest.length >= LEAST_PART) found.push(...rest);
    });
  });
  return found;
}

/** Added cells that have none of the backdrop among their eight neighbours. */
function firmOf(added: Uint8Array, mask: Uint8Array, width: number): Uint8Array | undefined {
  const firm = new Uint8Array(mask.length);
  let any = false;
  for (let i = added.indexOf(1); i >= 0; i = added.indexOf(1, i + 1)) {
    let all = 1;
    for (let v = -1; v <= 1; v++) for (let u = -1; u <= 1; u++) all &= mask[i + v * width + u];
    firm[i] = all;
    any ||= all === 1;
  }
  return any ? firm : undefined;
}

/** Whether a cell differs from the backdrop by no more than its texture. */
function likeBackdrop({ tones, spread }: OffBackdrop, cell: number, least: readonly number[]): boolean {
  let sum = 0;
  for (let t = 0; t < 3; t++) sum += (tones[t][cell] / Math.max(least[t], spread[t])) ** 2;
  return sum < BACK * BACK;
}

/**
 * Cells that sharp edges close in: 1 where a disc that comes over the backdrop from outside cannot reach without crossing
 * one. Gaps narrower than the disc are closed. A shadow's rim is soft and closes nothing in.
 */
function closedIn({ edges }: Rims, mask: Uint8Array, width: number, reach: number): Uint8Array {
  const free = fartherThan(reach, edges, width);
  return fartherThan(reach, greatestOn(free, mask, width), width);
}

/** How far a disc reaches that gaps in an edge stop, cells. */
function gapOf(width: number, height: number): number {
  return Math.max(LEAST_GAP, Math.round(GAP * Math.sqrt(width * height)));
}

/** The part of some cells that has most cells off the pieces. */
function greatestOn(free: Uint8Array, mask: Uint8Array, width: number): Uint8Array {
  let best: readonly number[] = [];
  let most = 0;
  eachPart(free, width, 4, (part) => {
    let count = 0;
    for (const cell of part) count += 1 - mask[cell];
    if (count <= most) return;
    most = count;
    best = part;
  });
  const out = new Uint8Array(free.length);
  for (const cell of best) out[cell] = 1;
  return out;
}
