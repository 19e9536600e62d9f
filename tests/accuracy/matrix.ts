import { type Case, humpCase, randomCase, SHAPES } from './cases.ts';
import { compare } from './compare.ts';
import { condense, type Finding, type HumpCounts, humpRows, type Row } from './findings.ts';
import { wedgeFinding } from './wedges.ts';

export interface Matrix {
  readonly pieces: number;
  readonly bars: number;
  readonly rows: readonly Row[];
  /** Pieces whose tip or Face A was taken for the other one. */
  readonly turned: readonly string[];
  readonly humpPieces: number;
}

export interface MatrixSize {
  /** Random pieces and random hump pieces of each plan shape. */
  readonly perShape: number;
  readonly humpsPerShape: number;
  readonly angles: readonly number[];
  readonly densities: readonly number[];
}

export const FULL: MatrixSize = {
  perShape: 5,
  humpsPerShape: 4,
  // From 90° on a straight bar is thicker than wide, and its margin lies elsewhere.
  angles: [20, 30, 45, 60, 80],
  densities: [100_000, 200_000],
};

/** What one piece or bar of the matrix gave. */
export interface Outcome {
  readonly findings: readonly Finding[];
  readonly humps: HumpCounts;
  readonly turned: readonly string[];
  readonly kind: 'piece' | 'hump piece' | 'bar';
}

const NO_HUMPS: HumpCounts = { truth: 0, found: 0, matched: 0 };

/** Every case of the matrix from mesh to number, to be run in any order. Seeds are the case numbers: the same matrix every time. */
export function matrixJobs(size: MatrixSize, log: (line: string) => void): (() => Outcome)[] {
  const seeds = (k: number, count: number) => Array.from({ length: count }, (_, i) => 100 * k + i + 1);
  const pieces = SHAPES.flatMap((shape, k) => seeds(k, size.perShape).map((s) => randomCase(shape, s)));
  const humped = SHAPES.flatMap((shape, k) => seeds(k, size.humpsPerShape).map((s) => humpCase(shape, s)));
  const bars = size.angles.flatMap((angle) =>
    size.densities.flatMap((triangles) => [0, 0.05].map((sigma) => ({ angle, triangles, sigma }))),
  );
  return [
    ...pieces.map((one) => () => runPiece(one, 'piece', log)),
    ...humped.map((one) => () => runPiece(one, 'hump piece', log)),
    ...bars.map(({ angle, triangles, sigma }, i) => (): Outcome => {
      const finding = wedgeFinding(angle, sigma, triangles, i + 1);
      log(`bar ${finding.where}, noise ${sigma}: ${finding.error.toPrecision(2)}°`);
      return { findings: [finding], humps: NO_HUMPS, turned: [], kind: 'bar' };
    }),
  ];
}

function runPiece(one: Case, kind: 'piece' | 'hump piece', log: (line: string) => void): Outcome {
  const { findings, humps, sameWay } = compare(one);
  const failed = findings.filter((f) => Math.abs(f.error) > f.limit);
  const list = failed.map((f) => `${f.quantity} ${f.error.toPrecision(2)} (${f.limit.toPrecision(2)})`);
  const { truth, found, matched } = humps;
  if (found > matched) list.push(`${found - matched} humps that are none`);
  if (truth > matched) list.push(`${truth - matched} humps missed`);
  log(`${one.name}: ${list.length === 0 ? 'all within' : list.join(', ')}`);
  return { findings, humps, turned: sameWay ? [] : [one.name], kind };
}

/** The table from what all parts gave, in any order. A piece without humps must show none: what it shows counts as found. */
export function condenseMatrix(outcomes: readonly Outcome[]): Matrix {
  const sum = (key: keyof HumpCounts): number => outcomes.reduce((all, { humps }) => all + humps[key], 0);
  const count = (kind: Outcome['kind']): number => outcomes.filter((one) => one.kind === kind).length;
  const humps = { truth: sum('truth'), found: sum('found'), matched: sum('matched') };
  return {
    pieces: count('piece') + count('hump piece'),
    humpPieces: count('hump piece'),
    bars: count('bar'),
    rows: [...condense(outcomes.flatMap(({ findings }) => findings)), ...humpRows(humps)],
    turned: outcomes.flatMap(({ turned }) => turned),
  };
}

export function printed(rows: readonly Row[]): string {
  const head = ['Quantity', 'Unit', 'Target', 'Worst', 'RMS', 'n', 'Met', 'Worst at'];
  const lines = rows.map((r) => [
    r.title,
    r.unit,
    r.target,
    r.worst,
    r.rms,
    String(r.n),
    r.met ? 'yes' : '**no**',
    r.where,
  ]);
  return [head, head.map(() => '---'), ...lines].map((cells) => `| ${cells.join(' | ')} |`).join('\n');
}

/** The page `docs/accuracy.md`, to end in what is said of uncertainty. No clock time and no machine in it: the same code gives the same page. */
export function page(matrix: Matrix): string {
  const turned = matrix.turned.length === 0 ? 'none' : matrix.turned.join(', ');
  return `# Accuracy

Written by \`npm run accuracy\`; do not edit by hand. The code is in \`tests/accuracy\`, the pieces are made by \`tests/pieces\`.

Each piece is an invented biface known exactly: its outline is a polygon, its margin and faces are analytic functions, and
lengths, areas, volumes and sections come from those functions by quadrature that has converged to 0.001 % or better, never
from the mesh. The frame is computed from the exact margin and outline by plain methods that share no code with the program.
The piece is meshed like a scan (100 000 to 200 000 irregular triangles, different on each face), given surface noise of up
to 0.05 mm and flake scars up to 0.6 mm deep, turned and shifted at random, its vertices shuffled, and then traced and
measured with default settings and no help.

${matrix.pieces} pieces of ${SHAPES.length} plan shapes (${SHAPES.join(', ')}), 45 to 180 mm long with width/thickness 2 to 5 (notched and
barbed ones 35 to 105 mm and 3.5 to 6), margins straight to
strongly winding, faces from plano-convex to ridged and parallel-sided; ${matrix.humpPieces} of them made with humps. ${matrix.bars} straight
bars for the edge angle.

${printed(matrix.rows)}

Worst is the case that uses most of what is allowed; RMS is over all n values. Tip or Face A taken for the other by
the rule, and flipped before numbers were compared: ${turned}.

How some rows are read:

- **Length, width, thickness**: the larger of 0.05 mm and 0.1 % is allowed.
- **\`longest\`**: where two corners of a base are nearly as far from the tip as each other, noise decides between them. The
  error is the angle to the nearest direction along which the piece is as long as its longest, within the tolerance of a length.
- **Half-width difference**: stations 2 to 98; stations with several chords (barbs, notches) and their neighbours are left
  out, because the outermost margin jumps there; so are those where the exact margin itself steps by over 0.5 mm within the
  0.05 mm that a length is allowed to either side.
- **Edge height**: traced against exact margin at the nearest place in plan, weighted by arc length.
- **Sections**: the plane is the same in the stone; near an end the area changes by per cents with the tenth of a millimetre
  that the length is allowed. Under noise the neighbouring planes are heard too, as far as they agree; where a notch or the
  tip leaves none that do, noise σ at vertices e apart leaves the area uncertain by about σ·√(girth·e), which for sections of
  a few square millimetres is more than 0.3 %; their uncertainty says so.
- **Sinuosity**: against the exact margin whose height is smoothed at 1 mm as defined, and against the bare exact margin.
- **Humps**: bumps of 0.8 to 3 mm and at least twice the scar depth, 4 to 9 mm in radius, clear of the margin. A found hump
  is right when its peak lies within a true one on the same face. Pieces without humps count: whatever is found there is wrong.
`;
}
