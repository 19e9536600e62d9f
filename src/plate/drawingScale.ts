/** Paper to piece, in the steps of the trade, greatest first; enlargements are for what is too small to be read. */
const REDUCTIONS: readonly (readonly [number, number])[] = [
  [1, 1],
  [2, 3],
  [1, 2],
  [2, 5],
  [1, 3],
  [1, 4],
  ...[1, 10, 100, 1000, 10_000, 100_000].flatMap((decade) =>
    [5, 10, 20].map((step) => [1, step * decade] as const),
  ),
];
const ENLARGEMENTS: readonly (readonly [number, number])[] = REDUCTIONS.filter(([paper]) => paper === 1)
  .map(([paper, piece]) => [piece, paper] as const)
  .toReversed();

/** Drawn at its true size, a piece shorter than this can't be read, mm. */
const LEAST_SIZE = 12;

export interface DrawingScale {
  /** mm on paper for each mm of the piece. */
  readonly factor: number;
  /** `1:1`, `2:3`, `5:1`. */
  readonly name: string;
}

/**
 * The scale of a drawing: true size if it fits, else the greatest reduction that does; enlarged only when the piece
 * is too small to be read at true size. `size` is its greatest extent in mm.
 */
export function drawingScale(size: number, fits: (factor: number) => boolean): DrawingScale {
  const steps = size < LEAST_SIZE ? [...ENLARGEMENTS, ...REDUCTIONS] : REDUCTIONS;
  const [paper, piece] = steps.find(([a, b]) => fits(a / b)) ?? steps[steps.length - 1];
  return { factor: paper / piece, name: `${paper}:${piece}` };
}

/** Length of a scale bar in mm of the piece: 1, 2 or 5 times a power of ten, at most `most` mm on paper. */
export function barLength(factor: number, most: number): number {
  const longest = (most / factor) * (1 + 1e-9);
  const decade = 10 ** Math.floor(Math.log10(longest));
  return decade * (longest >= 5 * decade ? 5 : longest >= 2 * decade ? 2 : 1);
}
