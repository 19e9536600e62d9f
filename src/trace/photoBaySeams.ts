import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { ALONG, type Lobe, lobesOf, middleOf, type Tone, toneOf } from './photoLobes.ts';

/** A bay is so many pixels deep at least: in less there is no room to look past blur and coarse colours. */
const LEAST_DEPTH = 32;
/** Shares of the way from the mouth of a bay to its end, and as far outside, at which it is looked at. */
const DEEP = [0.3, 0.5, 0.7];
/** What a bay shows is of another colour than the backdrop outside from this on (logarithms), and from so much more for each of light that it is darker: shadows are tinted. */
const [UNLIKE, TINTED] = [0.07, 0.15];
/** Nearer to black (logarithm) whole codes tell no colour. */
const DARK = Math.log(0.02);
/** The seam lies within this share of the depth off the mouth; its step is read so many pixels to either side, past the blur and JPEG's coarse colours, in squares so wide. */
const [SEAM, STEP, ASIDE] = [0.4, 6, 2];
/** At this share of places along the mouth its step is of that share of what the two sides differ by. */
const [SEEN, SHARP] = [0.7, 0.6];

/**
 * By point of a ring: how deep a bay is there that may be stone of nearly the backdrop's colour (cortex on linen), pixels: what it shows is of
 * another colour than the backdrop outside, and a sharp step runs along its mouth, where a notch shows one and the same backdrop. Undefined where
 * there is none. The ring: one point about every pixel, either sense.
 */
export function seamedBaysAlong(ring: Points2, picture: Pixels): Float64Array | undefined {
  const n = ring.length / 2;
  let out: Float64Array | undefined;
  for (const { lobe, from, points } of lobesOf(ring, 1, LEAST_DEPTH)) {
    if (!isSeamed(lobe, picture)) continue;
    out ??= new Float64Array(n);
    for (let k = 0; k <= points; k++) {
      const i = (from + k) % n;
      out[i] = Math.max(out[i], lobe.height);
    }
  }
  return out;
}

function isSeamed({ x0, y0, dx, dy, wide, side, heights }: Lobe, picture: Pixels): boolean {
  const toneAt = (share: number, off: number): Tone => {
    const [along, across] = [share * wide, side * off];
    return toneOf(picture, x0 + along * dx - across * dy, y0 + along * dy + across * dx, ASIDE);
  };
  const within = middleOf(ALONG.flatMap((share, i) => DEEP.map((deep) => toneAt(share, deep * heights[i]))));
  const outside = middleOf(
    ALONG.flatMap((share, i) => DEEP.map((deep) => toneAt(share, -deep * heights[i]))),
  );
  const apart = colourApart(within, outside);
  if (Math.min(within[0], outside[0]) < DARK) return false;
  if (apart < UNLIKE + TINTED * Math.max(0, outside[0] - within[0])) return false;
  // Along the way that the two differ: what lies across it is noise.
  const way = [(within[1] - outside[1]) / apart, (within[2] - outside[2]) / apart];
  const steps = ALONG.filter((share, i) => {
    for (let off = -SEAM * heights[i]; off <= SEAM * heights[i]; off++) {
      const [inner, outer] = [toneAt(share, off + STEP), toneAt(share, off - STEP)];
      if (way[0] * (inner[1] - outer[1]) + way[1] * (inner[2] - outer[2]) > SHARP * apart) return true;
    }
    return false;
  });
  return steps.length >= SEEN * ALONG.length;
}

function colourApart(a: Tone, b: Tone): number {
  return Math.hypot(a[1] - b[1], a[2] - b[2]);
}
