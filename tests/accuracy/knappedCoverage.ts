import { measure } from '../../src/measures/measure.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/measures/settings.ts';
import { DEFAULT_TRACE_SETTINGS } from '../../src/trace/settings.ts';
import { traceScan } from '../../src/trace/traceScan.ts';
import { makePose, withNoise, withPose } from '../pieces/pose.ts';
import { createRandom } from '../pieces/random.ts';
import { type Held, hold } from './coverage.ts';
import { KNAPPED, type Knapped, type KnappedPiece, knappedPiece } from './knapped.ts';
import { toScan } from './toScan.ts';

/** Edges of the mesh of each kind, mm, from and to. */
const SPACING: Readonly<Record<Knapped, readonly [number, number]>> = {
  early: [0.6, 1.1],
  thinned: [0.45, 0.9],
  late: [0.35, 0.7],
  'plano-convex': [0.3, 0.6],
  point: [0.2, 0.4],
};
const PER_KIND = 3;
const FIRST_SEED = 2;

/** Knapped pieces, each scanned without noise and with some: arrises, scalloped margins, steps and breaks, as real ones have them. */
export function knappedJobs(log: (line: string) => void, shift = 0): (() => Held[])[] {
  return KNAPPED.flatMap((kind) =>
    Array.from({ length: PER_KIND }, (_, k) => FIRST_SEED + shift + k).map((seed) => () => {
      const random = createRandom(seed * 7919 + KNAPPED.indexOf(kind));
      const made = tryToMake(kind, seed, random.between(...SPACING[kind]));
      if (made === undefined) {
        log(`knapped ${kind} ${seed}: a blow went through the stone`);
        return [];
      }
      const held = [0, random.between(0.005, 0.05)].flatMap((sigma) =>
        holdKnapped(made, sigma, seed, `knapped ${kind} ${seed}, noise ${sigma.toFixed(3)}`),
      );
      log(
        `knapped ${kind} ${seed}: ${held.filter(({ error, u }) => Math.abs(error) <= u).length} of ${held.length} within u`,
      );
      return held;
    }),
  );
}

/** Undefined where a blow went through the stone, so that its plan has a hole. */
function tryToMake(kind: Knapped, seed: number, spacing: number): KnappedPiece | undefined {
  try {
    return knappedPiece(kind, seed, spacing);
  } catch (error) {
    if (error instanceof Error && error.message.includes('hole')) return undefined;
    throw error;
  }
}

function holdKnapped({ mesh, truth }: KnappedPiece, sigma: number, seed: number, where: string): Held[] {
  const random = createRandom(seed + 31);
  const noisy = sigma > 0 ? withNoise(mesh, { sigma, direction: 'normal' }, random) : mesh;
  const pose = makePose('random', 1, random);
  const scan = toScan(withPose(noisy, pose));
  // The truth's axis: which way up the piece lies is none of a number's errors.
  const settings = { ...DEFAULT_TRACE_SETTINGS, axis: 'principal' } as const;
  const first = traceScan(scan, settings);
  const [flipTip, flipFace] = [1, 2].map((k) => {
    const own = truth.frame.pose.rotation.slice(3 * k, 3 * k + 3);
    const inScan = [0, 1, 2].map((i) => own.reduce((sum, c, j) => sum + c * pose.rotation[3 * i + j], 0));
    const { rigid } = first.frame;
    return inScan.reduce((sum, c, i) => sum + c * rigid[4 * i + k], 0) < 0;
  });
  const model = flipTip || flipFace ? traceScan(scan, { ...settings, flipTip, flipFace }) : first;
  const exact = exactOf(truth);
  return measure(model, DEFAULT_MEASURE_SETTINGS).measurements.flatMap((measured) =>
    hold(measured, exact.get(measured.id), where),
  );
}

function exactOf({ values, sections }: KnappedPiece['truth']): Map<string, number> {
  const exact = new Map(Object.entries(values));
  for (const { station, area, width, thickness } of sections) {
    exact.set(`section.${station}.area`, area);
    for (const id of [`section.${station}.width`, `width.at.${station}`]) exact.set(id, width);
    for (const id of [`section.${station}.thickness`, `thickness.at.${station}`]) exact.set(id, thickness);
  }
  return exact;
}
