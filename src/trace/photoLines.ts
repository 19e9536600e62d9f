import type { Cv, CvMat } from '../intake/photoOpencv.ts';
import type { Pixels } from '../intake/photoTypes.ts';

/** Two ends of a straight line, pixels. */
export type Segment = readonly [x0: number, y0: number, x1: number, y1: number];

/** Lines are narrower than so many pixels: a square of that side is nowhere within them. */
export const WIDEST_LINE = 7;
/** A line stands out of what is beside it by so many codes, and by so many times what the picture does in the median. */
const [CODES, TIMES] = [6, 3];
/** A line is seen over this share of the picture's shorter side at one stretch, gaps up to the second share left out. */
const [SEEN, GAP] = [0.2, 0.02];
/** Steps of place and of direction by which lines are told apart: pixels, radians. */
const [STEP, TURN] = [1, Math.PI / 360];
/** Where more than this share of a picture stands out it is texture. */
const MOST = 0.25;
/** Two lines are one where one runs within so many pixels of the other's ends. */
const SAME = 3;

/**
 * Long straight lines in a picture, lighter or darker than what is to both sides of them and narrow, the longest first: those of a cutting mat, of
 * ruled paper, seams (Hough transform of what an opening by a square takes away: Matas, Galambos & Kittler 2000). All matrices made are deleted.
 */
export function straightLines({ width, height, rgba }: Pixels, cv: Cv): Segment[] {
  const made: CvMat[] = [];
  const keep = <M extends CvMat>(mat: M): M => {
    made.push(mat);
    return mat;
  };
  try {
    const grey = keep(new cv.Mat());
    const colours = keep(new cv.Mat(height, width, cv.CV_8UC4));
    colours.data.set(rgba);
    cv.cvtColor(colours, grey, cv.COLOR_RGBA2GRAY);
    const square = keep(cv.getStructuringElement(cv.MORPH_RECT, new cv.Size(WIDEST_LINE, WIDEST_LINE)));
    const [opened, closed] = [keep(new cv.Mat()), keep(new cv.Mat())];
    cv.morphologyEx(grey, opened, cv.MORPH_OPEN, square);
    cv.morphologyEx(grey, closed, cv.MORPH_CLOSE, square);
    const found: Segment[] = [];
    const ridges = keep(new cv.Mat(height, width, cv.CV_8UC1));
    for (const lighter of [true, false]) {
      const [upper, lower] = lighter ? [grey.data, opened.data] : [closed.data, grey.data];
      const out = upper.map((code, i) => code - lower[i]);
      const marked = crests(out, width, Math.max(CODES, TIMES * medianCode(out)));
      if (shareOf(marked) > MOST) continue;
      ridges.data.set(marked);
      found.push(...segmentsIn(ridges, Math.min(width, height), cv));
    }
    return distinct(found.sort((a, b) => lengthOf(b) - lengthOf(a)));
  } finally {
    for (const mat of made) mat.delete();
  }
}

/** Marks the middles of what stands out by at least so many codes: no less than what is to either side of it, in a row or in a column. */
function crests(codes: Uint8Array, width: number, least: number): Uint8Array {
  const out = new Uint8Array(codes.length);
  for (let i = width; i < codes.length - width; i++) {
    const code = codes[i];
    if (code < least) continue;
    const across = code > codes[i - 1] && code >= codes[i + 1];
    const along = code > codes[i - width] && code >= codes[i + width];
    if (across || along) out[i] = 255;
  }
  return out;
}

/** Share of cells that are marked. */
function shareOf(marked: Uint8Array): number {
  let count = 0;
  for (let i = 0; i < marked.length; i++) if (marked[i] > 0) count++;
  return count / marked.length;
}

function segmentsIn(ridges: CvMat, side: number, cv: Cv): Segment[] {
  const lines = new cv.Mat();
  try {
    const votes = Math.round((SEEN * side) / 2);
    cv.HoughLinesP(ridges, lines, STEP, TURN, votes, SEEN * side, GAP * side);
    const ends = lines.data32S;
    return Array.from({ length: lines.rows }, (_, k) => {
      const [x0, y0, x1, y1] = ends.subarray(4 * k, 4 * k + 4);
      return [x0, y0, x1, y1] as const;
    });
  } finally {
    lines.delete();
  }
}

/** Without those that run along a longer one. */
function distinct(segments: readonly Segment[]): Segment[] {
  const kept: Segment[] = [];
  for (const one of segments) {
    if (!kept.some((other) => offLine(other, one[0], one[1]) < SAME && offLine(other, one[2], one[3]) < SAME))
      kept.push(one);
  }
  return kept;
}

/** Distance of a point from the endless line through two ends. */
function offLine([x0, y0, x1, y1]: Segment, x: number, y: number): number {
  return Math.abs((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) / Math.hypot(x1 - x0, y1 - y0);
}

function lengthOf([x0, y0, x1, y1]: Segment): number {
  return Math.hypot(x1 - x0, y1 - y0);
}

function medianCode(codes: Uint8Array): number {
  const counts = new Uint32Array(256);
  for (const code of codes) counts[code]++;
  let below = 0;
  return Math.max(
    0,
    counts.findIndex((count) => {
      below += count;
      return 2 * below >= codes.length;
    }),
  );
}
