import type { Points2 } from '../geometry/types.ts';
import type { MatPaper, PlaneBox } from '../intake/photoTypes.ts';
import { isWhite, MARKER_CELLS } from '../intake/scaleMatCodes.ts';
import { MARKER_SIDE, type MatLayout, type MatMarker, matLayout } from '../intake/scaleMatLayout.ts';
import { lettering, letteringWidth } from './matLettering.ts';

/** One page of filled boxes and stroked lines: what both writers draw. mm, origin at the lower left corner, y up. */
export interface MatDrawing {
  readonly title: string;
  readonly width: number;
  readonly height: number;
  /** In the order of drawing: white lies on black. */
  readonly boxes: readonly (PlaneBox & { readonly white: boolean })[];
  readonly lines: readonly { readonly points: Points2; readonly width: number }[];
}

/** Widths of lines, mm. */
const [HAIR, LETTERS] = [0.2, 0.22];
/** Height of letters, mm. */
const SMALL = 1.9;
/** Corner marks of the clear field: so long, and so far outside of it, mm. */
const CORNER = { length: 4, apart: 0.6 };

/** A scale mat, true to size on its paper. The same paper gives the same drawing. */
export function drawMat(paper: MatPaper): MatDrawing {
  const layout = matLayout(paper);
  const { sheet } = layout;
  const boxes = [...barBoxes(layout), ...layout.markers.flatMap(markerBoxes)];
  const lines = [
    ...fieldCorners(layout).map((points) => ({ points, width: HAIR })),
    ...barLines(layout).map((points) => ({ points, width: HAIR })),
    ...numberLines(layout).map((points) => ({ points, width: HAIR })),
    ...words(layout).map((points) => ({ points, width: LETTERS })),
  ];
  // The layout has its origin in the middle of the field; a page has it in its corner.
  const [dx, dy] = [-sheet.left, -sheet.bottom];
  return {
    title: `Knapgauge scale mat, ${paper}`,
    width: sheet.right - sheet.left,
    height: sheet.top - sheet.bottom,
    boxes: boxes.map(({ left, right, bottom, top, white }) => ({
      left: left + dx,
      right: right + dx,
      bottom: bottom + dy,
      top: top + dy,
      white,
    })),
    lines: lines.map(({ points, width }) => ({
      points: points.map((value, i) => value + ((i & 1) === 0 ? dx : dy)),
      width,
    })),
  };
}

type DrawnBox = MatDrawing['boxes'][number];

/**
 * A black square with white cells on it. White neighbours are bridged from middle to middle, so that no hairline of
 * black shows where a viewer smooths the edges of two boxes that only touch.
 */
function markerBoxes({ id, corners }: MatMarker): DrawnBox[] {
  const cell = MARKER_SIDE / MARKER_CELLS;
  const [left, top] = corners;
  const box = (column: number, row: number, columns: number, rows: number, white: boolean): DrawnBox => ({
    left: left + column * cell,
    right: left + (column + columns) * cell,
    bottom: top - (row + rows) * cell,
    top: top - row * cell,
    white,
  });
  const boxes = [box(0, 0, MARKER_CELLS, MARKER_CELLS, false)];
  for (let row = 0; row < MARKER_CELLS; row++) {
    for (let column = 0; column < MARKER_CELLS; column++) {
      if (!isWhite(id, row, column)) continue;
      boxes.push(box(column, row, 1, 1, true));
      if (isWhite(id, row, column + 1)) boxes.push(box(column + 0.5, row, 1, 1, true));
      if (isWhite(id, row + 1, column)) boxes.push(box(column, row + 0.5, 1, 1, true));
    }
  }
  return boxes;
}

/** Every second block, from the left end. */
function barBoxes({ bar }: MatLayout): DrawnBox[] {
  const blocks = Math.round((bar.right - bar.left) / bar.block);
  return Array.from({ length: Math.ceil(blocks / 2) }, (_, i) => ({
    left: bar.left + 2 * i * bar.block,
    right: bar.left + (2 * i + 1) * bar.block,
    bottom: bar.bottom,
    top: bar.top,
    white: false,
  }));
}

/** A frame whose outer edge is the bar's own: 100 mm are from outer edge to outer edge. Ticks below at 0, 50, 100. */
function barLines({ bar }: MatLayout): Points2[] {
  const inner = HAIR / 2;
  const [l, r, b, t] = [bar.left + inner, bar.right - inner, bar.bottom + inner, bar.top - inner];
  const frame = Float64Array.of(l, b, r, b, r, t, l, t, l, b);
  const middle = (bar.left + bar.right) / 2;
  return [frame, ...[l, middle, r].map((x) => Float64Array.of(x, bar.bottom, x, bar.bottom - 1.2))];
}

function fieldCorners({ field }: MatLayout): Points2[] {
  const { length, apart } = CORNER;
  return [
    [field.left - apart, 1],
    [field.right + apart, -1],
  ].flatMap(([x, inwardX]) =>
    [
      [field.bottom - apart, 1],
      [field.top + apart, -1],
    ].map(([y, inwardY]) => Float64Array.of(x + inwardX * length, y, x, y, x, y + inwardY * length)),
  );
}

function numberLines({ number }: MatLayout): Points2[] {
  const { left, right, bottom, top } = number;
  return [Float64Array.of(left, bottom, right, bottom, right, top, left, top, left, bottom)];
}

function words({ paper, sheet, bar, number, markers }: MatLayout): Points2[] {
  const below = bar.bottom - 1.8 - SMALL;
  const centred = (text: string, x: number, y: number): Points2[] =>
    lettering(text, x - letteringWidth(text, SMALL) / 2, y, SMALL);
  // The name stands in the gap between the first two markers of the lowest row.
  const row = markers.filter(
    ({ corners }) => corners[1] < bar.bottom && corners[0] < (sheet.left + sheet.right) / 2,
  );
  const [first, second] = row.slice(-3);
  const name = `Scale mat ${paper}`;
  return [
    ...lettering('0', bar.left, below, SMALL),
    ...centred('50', (bar.left + bar.right) / 2, below),
    ...lettering('100 mm', bar.right - letteringWidth('100 mm', SMALL), below, SMALL),
    ...lettering('Print at 100 %. Then measure this bar:', bar.left, number.bottom + 3.2, SMALL),
    ...lettering('give its length when it is not 100.0 mm.', bar.left, number.bottom + 0.2, SMALL),
    ...lettering('Catalogue number', number.left + 1.6, number.top - 1.6 - SMALL, SMALL),
    ...centred(
      name,
      (first.corners[2] + second.corners[0]) / 2,
      (first.corners[1] + first.corners[5] - SMALL) / 2,
    ),
  ];
}
