import { beforeAll, describe, expect, test } from 'vitest';
import { keptNudges, keptStretches } from '../../src/app/state/onStone.ts';
import { pointAt } from '../../src/geometry/closedCurve.ts';
import type { Matrix4 } from '../../src/geometry/types.ts';
import { measureScan } from '../../src/record/measureScan.ts';
import type { SpecimenRecord } from '../../src/record/schema.ts';
import { type AllSettings, DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import type { Model, TraceSettings } from '../../src/trace/types.ts';
import { smallScan } from '../cli/run.ts';

const bytes = smallScan('ovate');
const STRETCH = { from: 21, to: 36.5 };
const WITH_STRETCHES: AllSettings = {
  ...DEFAULT_SETTINGS,
  trace: { ...DEFAULT_SETTINGS.trace, nudgeAngle: 1.5, nudgeShift: 0.4 },
  measure: {
    ...DEFAULT_SETTINGS.measure,
    breaks: [[STRETCH.from, STRETCH.to]],
    excluded: [{ from: 105, to: 4, reason: 'residue' }],
  },
};

let model: Model;
let record: SpecimenRecord;

beforeAll(async () => {
  ({ model, record } = await measureScan(bytes, 'ovate.ply', WITH_STRETCHES));
});

/** A place or a direction (w 0) of the frame in the file's coordinates, scan millimetres. */
function inFile(m: Matrix4, at: ArrayLike<number>, w = 1): number[] {
  const d = [0, 1, 2].map((k) => at[k] - w * m[12 + k]);
  return [0, 1, 2].map((k) => m[4 * k] * d[0] + m[4 * k + 1] * d[1] + m[4 * k + 2] * d[2]);
}

function placeOn(of: Model, s: number): number[] {
  if (of.margin === undefined) throw new Error('no margin');
  return inFile(of.frame.rigid, pointAt(of.margin, s, new Float64Array(3)));
}

const apart = (a: readonly number[], b: readonly number[]): number =>
  Math.hypot(...a.map((v, k) => v - b[k]));

const { trace: before } = WITH_STRETCHES;
const placed = (tip: number[], base: number[]): Partial<TraceSettings> => ({
  axis: 'tip-base',
  tip: tip as [number, number, number],
  base: base as [number, number, number],
});

describe.each<[string, () => Partial<TraceSettings>]>([
  ['ends swapped', () => ({ flipTip: true })],
  ['faces swapped', () => ({ flipFace: true })],
  ['both swapped', () => ({ flipTip: true, flipFace: true })],
  ['another axis', () => ({ axis: 'longest' })],
  ['another axis, both swapped', () => ({ axis: 'principal', flipTip: true, flipFace: true })],
  ['a nudge', () => ({ nudgeAngle: -6 })],
  [
    'a tip placed near the other end',
    () => {
      const m = model.frame.rigid;
      return placed(inFile(m, [2, 1, 0]), inFile(m, [-1, model.length - 1, 0]));
    },
  ],
  [
    'the same, faces swapped',
    () => {
      const m = model.frame.rigid;
      return { ...placed(inFile(m, [2, 1, 0]), inFile(m, [-1, model.length - 1, 0])), flipFace: true };
    },
  ],
])('after %s', (_, asked) => {
  test('breaks and what is left out lie where they were on the stone, and so they do when it is taken back', async () => {
    const after = keptNudges(before, { ...before, ...asked() });
    const measure = keptStretches(record, WITH_STRETCHES.measure, before, after);
    const again = await measureScan(bytes, 'ovate.ply', { ...WITH_STRETCHES, trace: after, measure });
    const turned = after.flipFace !== before.flipFace;
    const ends = (stretch: readonly number[]): readonly number[] => (turned ? stretch.toReversed() : stretch);
    const were = [...WITH_STRETCHES.measure.breaks, [105, 4]].flat();
    const are = [
      ...measure.breaks,
      [measure.excluded?.[0].from ?? NaN, measure.excluded?.[0].to ?? NaN],
    ].flatMap(ends);
    for (const [k, s] of were.entries()) {
      expect(apart(placeOn(model, s), placeOn(again.model, are[k]))).toBeLessThan(0.02);
    }
    expect(measure.excluded?.[0].reason).toBe('residue');
    const back = keptStretches(record, measure, after, before);
    expect(back.breaks[0][0]).toBeCloseTo(STRETCH.from, 6);
    expect(back.breaks[0][1]).toBeCloseTo(STRETCH.to, 6);
    // The record of the piece as it lies now tells the same as the one before did.
    const fromThere = keptStretches(again.record, measure, after, before);
    expect(Math.abs(fromThere.breaks[0][0] - STRETCH.from)).toBeLessThan(0.02);
  });
});

test.each([
  [true, false],
  [false, true],
  [true, true],
])(
  'a nudged axis stays the line on the stone that it was: ends swapped %s, faces swapped %s',
  async (flipTip, flipFace) => {
    const trace = keptNudges(before, { ...before, flipTip, flipFace });
    const { model: again } = await measureScan(bytes, 'ovate.ply', { ...DEFAULT_SETTINGS, trace });
    const [was, is] = [model, again].map(({ frame }) => inFile(frame.rigid, [0, 1, 0], 0));
    const along = was.reduce((sum, v, k) => sum + v * is[k], 0);
    expect(along).toBeCloseTo(flipTip ? -1 : 1, 10);
    // From the one base end to the other.
    const ends = inFile(again.frame.rigid, [0, flipTip ? again.length : 0, 0]);
    expect(apart(ends, inFile(model.frame.rigid, [0, 0, 0]))).toBeLessThan(1e-6);
    expect(again.length).toBeCloseTo(model.length, 8);
  },
);

test('a nudge that is asked for with a swap is what was asked for', () => {
  const asked = { ...before, flipFace: true, nudgeAngle: 2, nudgeShift: -1 };
  expect(keptNudges(before, asked)).toEqual(asked);
});
