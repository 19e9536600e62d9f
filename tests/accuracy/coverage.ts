import { group } from 'd3-array';
import type { Scan } from '../../src/intake/types.ts';
import { FAMILIES } from '../../src/measures/catalogue.ts';
import { measure } from '../../src/measures/measure.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/measures/settings.ts';
import type { Measurement } from '../../src/measures/types.ts';
import { DEFAULT_TRACE_SETTINGS } from '../../src/trace/settings.ts';
import { traceScan } from '../../src/trace/traceScan.ts';
import { makePiece } from '../pieces/piece.ts';
import { makePose, withNoise, withPose } from '../pieces/pose.ts';
import { createRandom } from '../pieces/random.ts';
import { hippedBar } from '../pieces/solids.ts';
import { type Case, humpCase, randomCase, SHAPES } from './cases.ts';
import { sameWay } from './compare.ts';
import { exactValues } from './coverageTruth.ts';
import { toScan } from './toScan.ts';

/** One error held to its stated standard uncertainty. */
export interface Held {
  readonly id: string;
  readonly family: string;
  readonly error: number;
  readonly u: number;
  /** The component that is stated largest. */
  readonly main: string;
  readonly where: string;
}

/** Shares that honest uncertainties have: about 68 % within one u, 95 % within two. */
export const WANTED = { oneLow: 0.6, oneHigh: 0.76, two: 0.93 } as const;

export interface CoverageSize {
  readonly perShape: number;
  readonly humpsPerShape: number;
  readonly angles: readonly number[];
  readonly barsPerAngle: number;
}

export const FULL_COVERAGE: CoverageSize = {
  perShape: 4,
  humpsPerShape: 8,
  angles: [20, 30, 40, 50, 60, 75],
  barsPerAngle: 8,
};

/** Seeds are apart from those of the accuracy matrix: a piece on which a number was settled is none to judge it by. */
const FIRST_SEED = 5000;
/** Pieces with humps and bars come on coarser meshes than section 14's too: as many of them say more than finer ones would. */
const HUMP_TRIANGLES = [50_000, 100_000] as const;
const BAR_TRIANGLES = [40_000, 120_000] as const;
const BAR_NOISE = [0.005, 0.05] as const;

const familyOf = new Map(FAMILIES.flatMap(({ rows, title }) => rows.map(({ id }) => [id, title] as const)));

/**
 * Every piece and bar, to be measured in any order as it comes from a scanner: each number that has an exact value is held to
 * its u. @param shift added to every seed: other pieces of the same kinds.
 */
export function coverageJobs(size: CoverageSize, log: (line: string) => void, shift = 0): (() => Held[])[] {
  const { cases, bars } = coverageCases(size, FIRST_SEED + shift);
  const told = (name: string, held: Held[]): Held[] => {
    log(`${name}: ${held.filter(({ error, u }) => Math.abs(error) <= u).length} of ${held.length} within u`);
    return held;
  };
  return [
    ...cases.map((one) => () => told(one.name, holdPiece(one))),
    ...bars.map((bar) => () => told(nameOfBar(bar), holdBar(bar))),
  ];
}

/** A straight bar whose two long edges have one angle. Degrees and mm. */
export interface BarCase {
  readonly angle: number;
  readonly sigma: number;
  readonly triangles: number;
  readonly seed: number;
}

const nameOfBar = ({ angle, sigma, seed }: BarCase): string =>
  `bar ${seed} of ${angle}°, noise ${sigma.toFixed(3)}`;

export function coverageCases(size: CoverageSize, first: number): { cases: Case[]; bars: BarCase[] } {
  const seeds = (k: number, count: number) => Array.from({ length: count }, (_, i) => first + 100 * k + i);
  const cases = SHAPES.flatMap((shape, k) => [
    ...seeds(k, size.perShape).map((seed) => randomCase(shape, seed)),
    ...seeds(k, size.humpsPerShape).map((seed) => coarser(humpCase(shape, seed), seed)),
  ]);
  const bars = size.angles.flatMap((angle, k) =>
    seeds(k, size.barsPerAngle).map((seed): BarCase => {
      const random = createRandom(seed);
      const triangles = Math.round(random.between(...BAR_TRIANGLES));
      return { angle, sigma: random.between(...BAR_NOISE), triangles, seed };
    }),
  );
  return { cases, bars };
}

function coarser({ name, spec }: Case, seed: number): Case {
  const triangles = Math.round(createRandom(seed).between(...HUMP_TRIANGLES));
  return { name, spec: { ...spec, triangles } };
}

export function holdPiece({ name, spec }: Case): Held[] {
  const piece = makePiece(spec);
  const model = traceScan(toScan(piece.mesh), DEFAULT_TRACE_SETTINGS);
  // Turned round, left is right and 20 is 80: that is not an error of a number, and the scan's person sees it at once.
  if (!sameWay(model, piece.truth.axes.mirror)) return [];
  const { measurements, humps } = measure(model, DEFAULT_MEASURE_SETTINGS);
  const simple = spec.outline.shape !== 'barbed' && spec.outline.shape !== 'side-notched';
  const exact = exactValues(piece, simple);
  return measurements.flatMap((measured) => {
    if (measured.id === 'humps.tallest' && humps.length === 0) return [];
    return hold(measured, exact.get(measured.id), name);
  });
}

/** Every place of a bar's long edges has the same angle, so that the median of each side is that angle. */
function holdBar(bar: BarCase): Held[] {
  const { measurements } = measure(traceScan(barScan(bar), DEFAULT_TRACE_SETTINGS), DEFAULT_MEASURE_SETTINGS);
  const ids = ['edge.angle.left.median', 'edge.angle.right.median'];
  return measurements
    .filter(({ id }) => ids.includes(id))
    .flatMap((measured) => hold(measured, bar.angle, nameOfBar(bar)));
}

export function barScan({ angle, sigma, triangles, seed }: BarCase): Scan {
  const random = createRandom(seed + 1);
  const bar = hippedBar({ length: 90, width: 36, angle, triangles, seed });
  const noisy = withNoise(bar, { sigma, direction: 'normal' }, random);
  return toScan(withPose(noisy, makePose('random', 1, random)));
}

/** A value held to the truth; nothing where there is none, or no u. */
export function hold(
  { id, value, u, components }: Measurement,
  exact: number | undefined,
  where: string,
): Held[] {
  if (exact === undefined || typeof value !== 'number' || u === undefined) return [];
  const { definition: _, ...parts } = components ?? {};
  const [main] = Object.entries(parts).toSorted(([, a], [, b]) => b - a);
  return [{ id, family: familyOf.get(id) ?? '', error: value - exact, u, main: main?.[0] ?? 'none', where }];
}

export interface CoverageRow {
  readonly name: string;
  readonly n: number;
  /** Shares within one and two u. */
  readonly one: number;
  readonly two: number;
  /** Root mean square of error/u: 1 when honest. */
  readonly spread: number;
  /** Mean of error/u: a lean to one side that a u does not tell. */
  readonly lean: number;
  readonly met: boolean;
}

export function coverageBy(held: readonly Held[], key: (one: Held) => string): CoverageRow[] {
  return [...group(held, key)].map(([name, own]) => {
    const ratios = own.map(({ error, u }) => error / u);
    const n = ratios.length;
    const within = (most: number): number => ratios.filter((r) => Math.abs(r) <= most).length / n;
    const [one, two] = [within(1), within(2)];
    return {
      name,
      n,
      one,
      two,
      spread: Math.sqrt(ratios.reduce((sum, r) => sum + r * r, 0) / n),
      lean: ratios.reduce((sum, r) => sum + r, 0) / n,
      met: one >= WANTED.oneLow && one <= WANTED.oneHigh && two >= WANTED.two,
    };
  });
}

/** A table for the page on uncertainty. */
export function coverageTable(rows: readonly CoverageRow[], first: string): string {
  const percent = (share: number): string => (100 * share).toFixed(0);
  const lines = rows.map(({ name, n, one, two, spread, lean, met }) => [
    name,
    String(n),
    percent(one),
    percent(two),
    spread.toFixed(2),
    lean.toFixed(2),
    met ? 'yes' : '**no**',
  ]);
  const head = [first, 'n', 'Within u, %', 'Within 2 u, %', 'RMS of error/u', 'Mean of error/u', 'Met'];
  return [head, head.map(() => '---'), ...lines].map((cells) => `| ${cells.join(' | ')} |`).join('\n');
}

/** The page `docs/uncertainty.md`. No clock time and no machine in it: the same code gives the same page. */
export function coveragePage(held: readonly Held[], knapped: readonly Held[]): string {
  const pieces = new Set(held.map(({ where }) => where)).size;
  return `# Uncertainty, held to the truth

Written by \`node tests/accuracy/coverage.mjs\`; do not edit by hand.

Every value carries a standard uncertainty u by the *Guide to the Expression of Uncertainty in Measurement* (JCGM 100:2008).
Of an honest one, about 68 % of errors lie within u and 95 % within 2 u. ${pieces} generated pieces and straight bars with exact
truth, made as for [the accuracy table](accuracy.md) but with other seeds, are measured with default settings, and each
error is held to the u stated beside its value. Asked for are between 60 and 76 % within u and at least 93 % within 2 u, for
each family of measures.

${coverageTable(
  coverageBy(held, ({ family }) => family),
  'Family',
)}

## On knapped pieces

Those are made of smooth shapes. ${new Set(knapped.map(({ where }) => where)).size} scans of pieces that were knapped blow by blow, without noise and with some, have
what stone has: arrises that triangles cut off, scalloped margins, steps, rinds and breaks that stand upright at the margin,
where a height of the margin is a matter of choice. Their triangles are larger, too: 10,000 to 160,000 a piece. There u is less sure of itself:

${coverageTable(
  coverageBy(knapped, ({ family }) => family),
  'Family',
)}

## Components


- **noise**: surface noise, read off the scan. Of the outline it is what denoising left in the very points that a value rests
  on, by the fits that took it off; a sharp corner is as sure as the meeting of its two sides, one that could not be drawn so
  is no surer than the scan's noise. Over a stretch the errors average out as the line's own noise would have; the length
  of a line moves with its points as much as it bends at them. An area also carries a lean of the whole line, σ²/edge long, that
  no averaging takes off. Where the outline runs aslant or steps, a width is read again
  with its margins moved along.
- **resolution**: stray of the traced outline's points and sag of its chords, read off the outline. Triangles cut off what
  bends: volumes and sections are those of the triangles, and what these cut off, told by how the surface turns across edges,
  is uncertainty; of greatest thicknesses it is put back with the fit that takes noise off, and what is in doubt of it stays.
  A top on an arris has the height at which the faces beside it, carried on, meet; how far that stands above a smooth fit counts
  as far as it is not sure which of the two holds. Of corners and brinks, which no two faces make, more may lack.
- **orientation**: the chosen axis moved as far as the errors of the outline let it move, and the margin plane tilted as far as
  it may have been meant to lie where walls make part of the margin.
- **tracing**: where the margin is no edge but a wall (a break, an upright rind), its height is drawn half-way up and may have
  been meant anywhere on it; and what rests on several of these at once, such as a station's own place, as sure as the two ends that it is counted
  from, where the outline steps or slopes. Where the edge is round in the scan, the stone is as likely worn as its edge lost: what rests on the outline
  holds half of either. Where the margin runs along a hole, it holds what a bite of that width may have taken.
- **scale**: where the scale itself is uncertain.
- **definition** stands beside these and is no part of u: the standard deviation under the three automatic axes. It is what the
  choice of axis is worth, often many times u; who compares pieces measured along different axes must count it in.

No scan tells what its scanner does alike over several millimetres: noise of 3 to 8 mm wavelength looks like flake scars, and is
measured as stone; what is alike over a millimetre or two is told from it on the faces, and counted. Scans of one piece taken again, and \`knapgauge repeat\`, show it.

## By measure

A dozen measures or more make up a family: single ones may be wide or narrow where the family is honest.

${coverageTable(
  coverageBy(held, ({ id }) => id),
  'Measure',
)}
`;
}

/** What the page on accuracy ends in. */
const ON_ACCURACY = '\n## Uncertainty\n';

/** The page on accuracy with the coverage of its families at its end, in place of what stood there. */
export function accuracyWithCoverage(accuracy: string, families: string): string {
  const [page] = accuracy.split(ON_ACCURACY);
  return `${page.trimEnd()}
${ON_ACCURACY}
Shares of errors within the standard uncertainty u that is stated beside each value, on pieces of other seeds; by measure in
[the page on uncertainty](uncertainty.md).

${families.trim()}
`;
}

/** The table of families in a page on uncertainty: its first table. */
export function familiesOf(uncertainty: string): string {
  return /(^\|.*\n)+/m.exec(uncertainty)?.[0] ?? '';
}
