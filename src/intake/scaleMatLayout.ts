import type { Points2 } from '../geometry/types.ts';
import type { MatPaper, PlaneBox } from './photoTypes.ts';

export interface MatMarker {
  readonly id: number;
  /** Four corners, mm in the plane's frame: the code's top left, then clockwise as printed. */
  readonly corners: Points2;
}

/** Where everything on a scale mat is, mm, origin in the middle of the clear field, y up. */
export interface MatLayout {
  readonly paper: MatPaper;
  /** The sheet's own edges. */
  readonly sheet: PlaneBox;
  /** Nothing is printed in here: the piece lies here. */
  readonly field: PlaneBox;
  readonly markers: readonly MatMarker[];
  /** The bar that the printer is checked with: blocks black and white in turn from the left, the first black. */
  readonly bar: PlaneBox & { readonly block: number };
  /** Room for a catalogue number. */
  readonly number: PlaneBox;
}

/** Side of a marker, mm: cells of 2 mm are still ten pixels wide at 5 px/mm. */
export const MARKER_SIDE = 12;
/** Bare paper outside of the markers: what office printers can't reach, and the markers' quiet zone. */
const BORDER = 9;
/** Between the markers and what lies inside of them: a marker needs one cell of white all round. */
export const GAP = 4;
/** Height of the band with the bar and the number, below the field. */
const BAND = 16;
const BAR = { length: 100, height: 5, block: 10 };
const NUMBER_WIDTH = 54;

/** Markers along each side, corners counted twice. Codes of the two papers differ: a photograph tells which it is. */
const SHEETS: Readonly<
  Record<
    MatPaper,
    { readonly width: number; readonly height: number; readonly firstId: number } & Record<
      'across' | 'up',
      number
    >
  >
> = {
  A4: { width: 210, height: 297, firstId: 0, across: 5, up: 7 },
  Letter: { width: 215.9, height: 279.4, firstId: 25, across: 5, up: 7 },
};

export const MAT_PAPERS = Object.keys(SHEETS) as MatPaper[];

export function matLayout(paper: MatPaper): MatLayout {
  const { width, height, firstId, across, up } = SHEETS[paper];
  const inset = BORDER + MARKER_SIDE + GAP;
  const middleX = width / 2;
  const middleY = (inset + BAND + GAP + height - inset) / 2;
  const box = (left: number, right: number, bottom: number, top: number): PlaneBox => ({
    left: left - middleX,
    right: right - middleX,
    bottom: bottom - middleY,
    top: top - middleY,
  });
  const xs = spread(BORDER, width - BORDER - MARKER_SIDE, across);
  const ys = spread(height - BORDER - MARKER_SIDE, BORDER, up);
  const places = ys.flatMap((y, row) =>
    xs.filter((_, i) => row === 0 || row === up - 1 || i === 0 || i === across - 1).map((x) => [x, y]),
  );
  const markers = places.map(([x, y], i) => {
    const { left, right, bottom, top } = box(x, x + MARKER_SIDE, y, y + MARKER_SIDE);
    return { id: firstId + i, corners: Float64Array.of(left, top, right, top, right, bottom, left, bottom) };
  });
  const barBottom = inset + BAND - BAR.height;
  return {
    paper,
    sheet: box(0, width, 0, height),
    field: box(inset, width - inset, inset + BAND + GAP, height - inset),
    markers,
    bar: { ...box(inset, inset + BAR.length, barBottom, barBottom + BAR.height), block: BAR.block },
    number: box(width - inset - NUMBER_WIDTH, width - inset, inset, inset + BAND),
  };
}

/** `count` numbers evenly from `first` to `last`. */
function spread(first: number, last: number, count: number): number[] {
  return Array.from({ length: count }, (_, i) => first + ((last - first) * i) / (count - 1));
}
