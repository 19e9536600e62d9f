import type { Pair, SpecimenRecord } from '../record/schema.ts';

/** Share of the length that dashes run on beyond a break. */
const RUN_ON = 0.12;
/** Their direction is that of the side between these distances from its corner, as shares of the length. */
const DIRECTION = [0.03, 0.18] as const;
/** Room between the corner of a break and its dashes, as a share of the run. */
const CLEAR = 0.1;
/** Dashes that would meet end as far before that, as a share of the way. */
const APART = 0.85;

/**
 * Short lines that go on from both margins past the broken end, as they were heading there. They say that something is
 * missing, not how much. Empty unless the catalogue says that the piece is snapped and which part survives.
 */
export function missingLines({ catalogue, outline, frame }: SpecimenRecord): Pair[][] {
  if (catalogue.condition !== 'snapped' || catalogue.survives === undefined) return [];
  const ends = { tip: [-1], base: [1], mid: [-1, 1] }[catalogue.survives];
  return ends.flatMap((up) => runsOn(outline.outer, frame.length, up));
}

interface Side {
  readonly corner: Pair;
  /** Change of x for each mm of y. */
  readonly lean: number;
}

/** `up`: 1 where the upper end is broken, -1 where the lower one is. */
function runsOn(ring: readonly Pair[], length: number, up: number): Pair[][] {
  const [left, right] = [sideBefore(ring, length, up, -1), sideBefore(ring, length, up, 1)];
  if (left === undefined || right === undefined) return [];
  // How far both lines may go before they meet, seen from the farther corner.
  const from = up * Math.max(up * left.corner[1], up * right.corner[1]);
  const at = (side: Side, y: number): number => side.corner[0] + side.lean * (y - side.corner[1]);
  const closing = up * (left.lean - right.lean);
  const meet = closing > 0 ? (at(right, from) - at(left, from)) / closing : Infinity;
  const run = Math.min(RUN_ON * length, APART * meet);
  if (run < 0.02 * length) return [];
  const end = from + up * run;
  return [left, right].map((side): Pair[] => {
    const start = side.corner[1] + CLEAR * (end - side.corner[1]);
    return [
      [at(side, start), start],
      [at(side, end), end],
    ];
  });
}

/** Where the break meets one side (the outline's farthest point that way and outward), and how the side leans before it. */
function sideBefore(ring: readonly Pair[], length: number, up: number, out: number): Side | undefined {
  const reach = ([x, y]: Pair): number => out * x + up * y;
  const corner = ring.reduce((best, point) => (reach(point) > reach(best) ? point : best), ring[0]);
  const [near, far] = DIRECTION.map((share) => sideAt(ring, corner[1] - up * share * length, out));
  if (near === undefined || far === undefined) return undefined;
  return { corner, lean: (near[0] - far[0]) / (near[1] - far[1]) };
}

/** Outermost point of a ring at one height on one side. */
function sideAt(ring: readonly Pair[], y: number, out: number): Pair | undefined {
  const found = ring.flatMap(([x1, y1], i) => {
    const [x2, y2] = ring[(i + 1) % ring.length];
    return y1 < y !== y2 < y ? [x1 + ((x2 - x1) * (y - y1)) / (y2 - y1)] : [];
  });
  return found.length < 2 ? undefined : [out * Math.max(...found.map((x) => out * x)), y];
}

/** Share of the length at either end where midpoints may run along the end instead of toward it. */
const ENDS = 0.15;
/** mm across for each mm along: where the midline leans more, it follows a slanted or blunt end. */
const STEEPEST = 0.6;

/** The midline without what halves no two margins: at a blunt or slanted end its points run along that end. */
export function calmMidline({ midline, frame }: SpecimenRecord): readonly Pair[] {
  const leans = (i: number, j: number): boolean =>
    Math.abs(midline[j][0] - midline[i][0]) > STEEPEST * Math.abs(midline[j][1] - midline[i][1]);
  const last = midline.length - 1;
  let [first, end] = [1, last - 1];
  for (let i = 1; i < last && midline[i][1] < ENDS * frame.length; i++) if (leans(i - 1, i)) first = i;
  for (let i = last - 1; i > 0 && midline[i][1] > (1 - ENDS) * frame.length; i--)
    if (leans(i, i + 1)) end = i;
  return midline.slice(first, end + 1);
}
