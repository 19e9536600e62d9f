import { fartherThan } from '../geometry/rasterDistance.ts';
import { partAt } from '../geometry/rasterParts.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Region } from './photoRegion.ts';
import type { Sharpness } from './photoSharpness.ts';

/** A bay's mouth is at most twice this share of the root of the piece's area wide. */
const REACH = 0.2;
/** Fewer cells are no bay; fewer looks at a bay's edge say nothing. */
const LEAST_CELLS = 4;
const LEAST_LOOKS = 5;
/** From this share of soft edge on a bay may not be one. */
const DOUBTFUL = 0.5;
/** A filled bay is believed when less of its edge is soft than this share of what was before; or less than the second, with this share of it sharp. */
const [CLEARER, CLEAR, SEEN] = [0.4, 0.8, 0.35];

/** A mouth twice this share of the root of the piece's area wide is narrow; an inlet is of more than so many squares of its mouth (a notch is of one to four). */
const [NARROW, INLET] = [0.06, 5];
/** A bay of which more than this share is no glint’s is a notch. */
const BARE = 0.5;

/** Bays of a region whose edge is not as sharp as the rest of its outline. */
export interface DoubtfulBays {
  /** The region with these bays filled. */
  readonly filled: Region;
  /**
   * The region with those bays filled in or next to which a ring drawn about `filled` has the clearer edge by far; the same
   * object where all do, undefined where none does.
   */
  clearer(ring: Points2, sharpness: Sharpness): Region | undefined;
}

/**
 * A glint as bright as the backdrop looks like a bay of it: its edge towards the dark of the stone is soft, while a notch
 * has the edge of the stone itself. Undefined where no bay is in doubt.
 *
 * @param region cells of `factor` × `factor` pixels; @param ring the outline drawn from it, pixels
 * @param bare as for `withoutInlets`
 */
export function doubtfulBays(
  region: Region,
  factor: number,
  ring: Points2,
  sharpness: Sharpness,
  bare: (x: number, y: number) => boolean,
): DoubtfulBays | undefined {
  const soft = sharpness.soft.reduce((sum, one) => sum + one, 0);
  // Where most of the outline is soft, softness tells nothing apart.
  if (soft < DOUBTFUL * LEAST_LOOKS || 2 * soft > sharpness.soft.length) return undefined;
  const area = countOf(region.mask);
  const reach = Math.max(2, Math.round(REACH * Math.sqrt(area)));
  const window = padded(region, reach + 2);
  const { width } = window;
  const bays = without(closedBy(window.mask, width, reach), window.mask);
  const labels = labelled(bays, width);
  const looks = looksByBay(labels, window, factor, ring, sharpness);
  const counts = countsOf(labels, window, bare);
  const doubted = looks.map(
    ({ all, soft }, k) =>
      all >= LEAST_LOOKS && soft >= DOUBTFUL * all && counts.bare[k] <= BARE * counts.all[k],
  );
  if (!doubted.includes(true)) return undefined;
  const filled = withBays(region, window, labels, doubted);
  return {
    filled,
    clearer(other, sharpness) {
      const its = looksByBay(labels, window, factor, other, sharpness);
      const better = doubted.map(
        (one, label) =>
          one &&
          (its[label].soft < CLEARER * looks[label].soft ||
            (its[label].soft < CLEAR * looks[label].soft &&
              its[label].all - its[label].soft >= SEEN * its[label].all)),
      );
      if (!better.includes(true)) return undefined;
      return doubted.every((one, label) => one === better[label])
        ? filled
        : withBays(region, window, labels, better);
    },
  };
}

/** A cell of a mouth that was closed, its column and row in the picture, and how wide the mouth is, cells: the rim is somewhere there. */
export interface Mouth {
  readonly x: number;
  readonly y: number;
  readonly wide: number;
}

/** A region without inlets. */
export interface Inletless {
  readonly region: Region;
  readonly mouths: readonly Mouth[];
}

/**
 * The region without inlets: bays much longer than their mouth is wide. Few things knapped have such; a glint that runs to the rim
 * does, where the rim is as light as the backdrop.
 *
 * @param bare whether a cell, by its column and row in the picture, is surely none of a glint; what mostly is so is a notch
 */
export function withoutInlets(region: Region, bare: (x: number, y: number) => boolean): Inletless {
  const area = countOf(region.mask);
  const reach = Math.max(1, Math.round(NARROW * Math.sqrt(area)));
  const window = padded(region, reach + 2);
  const { width, mask } = window;
  // A disc that comes from outside, which a narrow mouth stops however wide it is behind.
  const closed = fartherThan(reach, partAt(fartherThan(reach, mask, width), width, 0), width);
  const labels = labelled(without(closed, mask), width);
  const most = greatestOf(labels);
  if (most === 0) return { region, mouths: [] };
  const wide = new Uint32Array(most + 1);
  const isMouth = (i: number): boolean =>
    labels[i] > 0 && (closed[i - 1] & closed[i + 1] & closed[i - width] & closed[i + width]) === 0;
  for (let i = 0; i < labels.length; i++) {
    if (isMouth(i)) wide[labels[i]]++;
  }
  const counts = countsOf(labels, window, bare);
  const inlets = Array.from(
    counts.all,
    (count, k) => k > 0 && wide[k] > 0 && count > INLET * wide[k] ** 2 && counts.bare[k] <= BARE * count,
  );
  if (!inlets.includes(true)) return { region, mouths: [] };
  const mouths = Array.from(labels.keys())
    .filter((i) => isMouth(i) && inlets[labels[i]])
    .map((i) => ({
      x: window.left + (i % width),
      y: window.top + Math.floor(i / width),
      wide: wide[labels[i]],
    }));
  return { region: withBays(region, window, labels, inlets), mouths };
}

/** A mask with the cells that no disc of `reach` cells covers that lies clear of it. */
function closedBy(mask: Uint8Array, width: number, reach: number): Uint8Array {
  return fartherThan(reach, fartherThan(reach, mask, width), width);
}

/** 1 on cells of one mask that are not of another. */
function without(mask: Uint8Array, other: Uint8Array): Uint8Array {
  const out = new Uint8Array(mask.length);
  for (let i = 0; i < out.length; i++) out[i] = mask[i] & (1 - other[i]);
  return out;
}

/** The greatest label. */
function greatestOf(labels: Int32Array): number {
  let most = 0;
  for (let i = 0; i < labels.length; i++) if (labels[i] > most) most = labels[i];
  return most;
}

/** Cells of a mask. */
function countOf(mask: Uint8Array): number {
  let count = 0;
  for (let i = 0; i < mask.length; i++) count += mask[i];
  return count;
}

/** The region with some bays filled: cells of them that touch no backdrop stay inside whatever finer pixels say. */
function withBays(region: Region, window: Region, labels: Int32Array, chosen: readonly boolean[]): Region {
  const { width, height } = region;
  const rim = region.left - window.left;
  const added = new Uint8Array(width * height);
  // Bays lie within the rectangle of their region.
  const mask = region.mask.map((one, i) => {
    const label = labels[(Math.floor(i / width) + rim) * window.width + (i % width) + rim];
    added[i] = label > 0 && chosen[label] ? 1 : 0;
    return one | added[i];
  });
  const firm = new Uint8Array(width * height);
  for (let y = 1; y + 1 < height; y++) {
    for (let i = y * width + 1; i + 1 < (y + 1) * width; i++) {
      let inside = added[i] | (region.firm?.[i] ?? 0);
      for (let k = -width; inside === 1 && k <= width; k += width) {
        inside = mask[i + k - 1] & mask[i + k] & mask[i + k + 1];
      }
      firm[i] = inside;
    }
  }
  return { ...region, mask, firm };
}

/** Empty cells all round, even beyond the picture. */
function padded(region: Region, by: number): Region {
  const [width, height] = [region.width + 2 * by, region.height + 2 * by];
  const mask = new Uint8Array(width * height);
  for (let y = 0; y < region.height; y++) {
    mask.set(region.mask.subarray(y * region.width, (y + 1) * region.width), (y + by) * width + by);
  }
  return { left: region.left - by, top: region.top - by, width, height, mask };
}

/** Numbers from 1 on for the parts that hang together by sides and have enough cells; 0 elsewhere. */
function labelled(mask: Uint8Array, width: number): Int32Array {
  const labels = new Int32Array(mask.length);
  let next = 1;
  for (let start = mask.indexOf(1); start >= 0; start = mask.indexOf(1, start + 1)) {
    if (labels[start] !== 0) continue;
    const part = [start];
    labels[start] = -1;
    for (let k = 0; k < part.length; k++) {
      for (const cell of [part[k] - 1, part[k] + 1, part[k] - width, part[k] + width]) {
        if (mask[cell] !== 1 || labels[cell] !== 0) continue;
        labels[cell] = -1;
        part.push(cell);
      }
    }
    if (part.length < LEAST_CELLS) continue;
    for (const cell of part) labels[cell] = next;
    next++;
  }
  return labels;
}

/** By label from 1 on: how many cells there are, and how many of these are bare. */
function countsOf(
  labels: Int32Array,
  { left, top, width }: Region,
  isBare: (x: number, y: number) => boolean,
): { readonly all: Uint32Array; readonly bare: Uint32Array } {
  const most = greatestOf(labels);
  const [all, bare] = [new Uint32Array(most + 1), new Uint32Array(most + 1)];
  for (let i = 0; i < labels.length; i++) {
    if (labels[i] === 0) continue;
    all[labels[i]]++;
    if (isBare(left + (i % width), top + Math.floor(i / width))) bare[labels[i]]++;
  }
  return { all, bare };
}

/** By label: how many looks at a ring's edge lie in a bay or a cell away from it, and how many of these are soft. */
function looksByBay(
  labels: Int32Array,
  { left, top, width, height }: Region,
  factor: number,
  ring: Points2,
  { places, soft }: Sharpness,
): { all: number; soft: number }[] {
  const most = greatestOf(labels);
  const looks = Array.from({ length: most + 1 }, () => ({ all: 0, soft: 0 }));
  places.forEach((place, k) => {
    const x = Math.floor((ring[2 * place] + 0.5) / factor) - left;
    const y = Math.floor((ring[2 * place + 1] + 0.5) / factor) - top;
    let label = 0;
    for (let v = Math.max(0, y - 1); v <= Math.min(height - 1, y + 1); v++) {
      for (let u = Math.max(0, x - 1); u <= Math.min(width - 1, x + 1); u++) {
        label = Math.max(label, labels[v * width + u]);
      }
    }
    if (label === 0) return;
    looks[label].all++;
    looks[label].soft += soft[k];
  });
  return looks;
}
