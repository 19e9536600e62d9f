import { beforeAll, describe, expect, test } from 'vitest';
import { keptNudges, keptStretches, onStone, placedAnew } from '../../src/app/state/onStone.ts';
import { pointAt } from '../../src/geometry/closedCurve.ts';
import { invert3 } from '../../src/geometry/homography.ts';
import type { Matrix4 } from '../../src/geometry/types.ts';
import type { PhotoScale } from '../../src/intake/photoTypes.ts';
import { evenMap, planeToImage } from '../../src/intake/scaleMap.ts';
import { measureScan } from '../../src/record/measureScan.ts';
import type { PhotoSource, SpecimenRecord } from '../../src/record/schema.ts';
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

describe('a scan that is read in another unit', () => {
  const m = (): Matrix4 => model.frame.rigid;
  const given = (): AllSettings => ({
    ...WITH_STRETCHES,
    trace: { ...before, ...placed(inFile(m(), [2, model.length - 1, 0]), inFile(m(), [-1, 1, 0])) },
  });
  const read = (settings: AllSettings, unit: 'cm' | 'in'): AllSettings => ({
    ...settings,
    scan: { ...settings.scan, unit },
  });

  test('has breaks, what is left out, placed ends and the shift of the axis where they were on the stone', async () => {
    const settings = given();
    const first = await measureScan(bytes, 'ovate.ply', settings);
    const after = onStone(first.record, settings, read(settings, 'cm'));
    const again = await measureScan(bytes, 'ovate.ply', after);
    const ends = ({ measure: { breaks, excluded } }: AllSettings): number[] => [
      ...breaks[0],
      excluded?.[0].from ?? NaN,
      excluded?.[0].to ?? NaN,
    ];
    const places = ends(after);
    for (const [k, s] of ends(settings).entries()) {
      const was = placeOn(first.model, s).map((v) => 10 * v);
      expect(apart(was, placeOn(again.model, places[k]))).toBeLessThan(0.2);
    }
    expect(after.measure.excluded?.[0].reason).toBe('residue');
    // The axis is the same line on the stone, whose length is all that changed.
    expect(again.model.length / first.model.length).toBeCloseTo(10, 4);
    const origins = [first, again].map(({ model: { frame } }) => inFile(frame.rigid, [0, 0, 0]));
    expect(
      apart(
        origins[0].map((v) => 10 * v),
        origins[1],
      ),
    ).toBeLessThan(0.02);
  });

  test('and in a third before it was measured in the second, and back', () => {
    const settings = given();
    const second = onStone(record, settings, read(settings, 'cm'));
    const third = onStone(record, second, read(second, 'in'));
    expect(third.measure.breaks[0][0]).toBeCloseTo(25.4 * STRETCH.from, 9);
    expect(third.trace.nudgeShift).toBeCloseTo(25.4 * before.nudgeShift, 9);
    expect(third.trace.nudgeAngle).toBe(before.nudgeAngle);
    const back = onStone(record, third, { ...third, scan: { ...third.scan, unit: 'mm' } });
    expect(back.measure).toEqual(settings.measure);
    expect(back.trace.nudgeShift).toBe(before.nudgeShift);
  });

  test('ends swapped while it is still being measured in that unit: marks stay as well', () => {
    const inCm = onStone(record, WITH_STRETCHES, read(WITH_STRETCHES, 'cm'));
    const over = { ...inCm, trace: { ...inCm.trace, flipTip: true } };
    const swapped = onStone(record, inCm, over);
    const inMm = keptStretches(record, WITH_STRETCHES.measure, before, { ...before, flipTip: true });
    expect(swapped.measure.breaks[0][0]).toBeCloseTo(10 * inMm.breaks[0][0], 8);
    expect(swapped.measure.breaks[0][1]).toBeCloseTo(10 * inMm.breaks[0][1], 8);
  });

  test('what the change itself speaks of is what was asked for', () => {
    const asked = read(WITH_STRETCHES, 'cm');
    const nudged = { ...asked, trace: { ...asked.trace, nudgeShift: 3 } };
    expect(onStone(record, WITH_STRETCHES, nudged).trace.nudgeShift).toBe(3);
  });
});

describe('a photograph whose scale is found to be another', () => {
  const even = evenMap(12, 4000, 3000);
  const source = {
    kind: 'photo',
    sha256: 'a'.repeat(64),
    scale: { toPlane: [...even.toPlane], radial: even.radial, marginHeight: { value: 0, u: 0 } },
  } as unknown as PhotoSource;
  /** A mat, seen at a slant by a camera at the height given, mm. */
  const mat = {
    ...source,
    scale: {
      ...source.scale,
      toPlane: [0.1, 0.004, -190, 0.003, -0.1, 160, 2e-6, 5e-6, 1],
      radial: { ...even.radial, k: -0.03 },
      camera: { height: 600, footX: 12, footY: -8, tilt: 4 },
      marginHeight: { value: 9, u: 1 },
    },
  } as unknown as PhotoSource;
  const trace = { ...before, ...placed([110, -30, 0], [100, -140, 0]) };

  test('has its placed ends at the same pixels', () => {
    const after = placedAnew({ ...record, source }, { ...record, source: mat }, trace);
    const scale = (of: PhotoSource): PhotoScale =>
      ({
        map: { toImage: invert3(Float64Array.from(of.scale.toPlane)), radial: of.scale.radial },
        camera: of.scale.camera,
      }) as PhotoScale;
    for (const end of ['tip', 'base'] as const) {
      const was = planeToImage(scale(source), Float64Array.from(trace[end] ?? []).subarray(0, 2));
      const is = planeToImage(scale(mat), Float64Array.from(after?.[end] ?? []).subarray(0, 2), 9);
      expect(apart([...is], [...was])).toBeLessThan(1e-6);
    }
    expect(placedAnew({ ...record, source: mat }, { ...record, source: mat }, trace)).toBeUndefined();
    expect(placedAnew({ ...record, source }, { ...record, source: mat }, before)).toBeUndefined();
  });
});
