/** Cells along one side of a marker's code; one black cell all round makes the marker's whole side 6 cells. */
export const CODE_CELLS = 4;
export const MARKER_CELLS = CODE_CELLS + 2;

/**
 * ArUco dictionary 4X4_50 of OpenCV (Apache-2.0): 16 cells row by row from the top left, the first in the highest bit,
 * 1 is white. No two codes come nearer to each other, or to themselves turned, than 4 cells.
 */
// biome-ignore format: a table
export const CODES: readonly number[] = [
  0xb532, 0x0f9a, 0x332d, 0x9946, 0x549e, 0x79cd, 0x9e2e, 0xc4f2, 0xfeda, 0xcf56,
  0xf991, 0x11a7, 0x0eb7, 0x2a0f, 0x24b1, 0x263e, 0x4665, 0x6600, 0x6c5e, 0x76af,
  0x868b, 0xb02b, 0xccd5, 0xdd82, 0xfe47, 0x9471, 0xace4, 0xa554, 0x2123, 0x346f,
  0x4415, 0x57b2, 0x9ecf, 0xf0cb, 0x08ae, 0x0929, 0x1875, 0x04ff, 0x0df6, 0x1c5a,
  0x1718, 0x2a28, 0x328c, 0x38b2, 0x24e8, 0x2eeb, 0x2d3f, 0x4b64, 0x502e, 0x5013,
];

/** Whether the cell at `row`, `column` (0…5, black frame included) of code `id` is white. */
export function isWhite(id: number, row: number, column: number): boolean {
  const inside = row >= 1 && row <= CODE_CELLS && column >= 1 && column <= CODE_CELLS;
  return inside && ((CODES[id] >> (15 - (CODE_CELLS * (row - 1) + column - 1))) & 1) === 1;
}

export interface DecodedCode {
  readonly id: number;
  /** Quarter turns: corner `turns` of what was read (clockwise) is the code's own top left. */
  readonly turns: number;
}

/**
 * The code that 16 cells (as in CODES) spell, whichever way up. At most one cell may be wrong: half of the least
 * distance between codes, less one. Undefined when no code fits.
 */
export function decodeCells(cells: number): DecodedCode | undefined {
  let turned = cells;
  for (let turns = 0; turns < 4; turns++) {
    const id = CODES.findIndex((code) => ones(code ^ turned) <= 1);
    if (id >= 0) return { id, turns };
    turned = quarterTurn(turned);
  }
  return undefined;
}

/** The cells as read from the next corner clockwise: new (row, column) = old (column, 3 − row). */
function quarterTurn(cells: number): number {
  let turned = 0;
  for (let row = 0; row < CODE_CELLS; row++) {
    for (let column = 0; column < CODE_CELLS; column++) {
      const from = CODE_CELLS * column + (CODE_CELLS - 1 - row);
      turned = (turned << 1) | ((cells >> (15 - from)) & 1);
    }
  }
  return turned;
}

function ones(bits: number): number {
  let count = 0;
  for (let rest = bits; rest !== 0; rest &= rest - 1) count++;
  return count;
}
