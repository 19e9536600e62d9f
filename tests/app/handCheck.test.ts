import { describe, expect, test } from 'vitest';
import { directions, layDesk } from '../../src/app/bench/handCheck/desk.ts';
import { compareReadings, judgeHump, layOf, NOTHING_READ } from '../../src/app/state/handCheck.ts';
import type { RecordHump, SpecimenRecord } from '../../src/record/schema.ts';
import { toRecord } from '../../src/record/toRecord.ts';
import { makeParts } from '../record/fixture.ts';

const made = toRecord(makeParts());
const measurements = made.measurements.filter(({ id }) => id !== 'length' && id !== 'width');
const record: SpecimenRecord = {
  ...made,
  measurements: [
    ...measurements,
    { id: 'length', unit: 'mm', value: 120.4, u: 0.2 },
    { id: 'width', unit: 'mm', value: null, reason: 'not to be had' },
  ],
};

describe('what is read by hand beside what was computed', () => {
  test('jaws give lengths; what was not read, or not computed, is said so', () => {
    const guess = { ...NOTHING_READ, length: [-60, 61] as const, width: [-20, 22.5] as const };
    const [length, width, axis] = compareReadings(record, guess);
    expect(length).toEqual({ id: 'length', read: 121, computed: 120.4, u: 0.2, unit: 'mm' });
    expect(width).toMatchObject({ read: 42.5, computed: null });
    expect(axis).toMatchObject({ read: null, computed: layOf(record), unit: '°' });
    // Root mean square of the fixture's other two automatic axes, −0.42° and 0.8°.
    expect(axis.u).toBeCloseTo(Math.sqrt((0.42 ** 2 + 0.8 ** 2) / 2), 6);
  });

  test('no piece lies so straight that its axis can be read off the paper', () => {
    for (let k = 0; k < 400; k++) {
      const lay = layOf({ ...record, id: (k * 7919).toString(16).padStart(16, '0') });
      expect(Math.abs(lay)).toBeGreaterThanOrEqual(9);
      expect(Math.abs(lay)).toBeLessThanOrEqual(24);
    }
  });

  test('a mark is judged by the tallest hump', () => {
    const square = (x: number, y: number): RecordHump['footprint'] => [
      [x - 5, y - 5],
      [x + 5, y - 5],
      [x + 5, y + 5],
      [x - 5, y + 5],
    ];
    const [first] = made.humps;
    const tall: RecordHump = {
      ...first,
      face: 'B',
      peak: [3, 40, -9],
      prominence: 3,
      footprint: square(3, 40),
    };
    const low: RecordHump = {
      ...first,
      face: 'A',
      peak: [0, 80, 9],
      prominence: 1,
      footprint: square(0, 80),
    };
    const piece = { ...record, humps: [low, tall] };
    expect(judgeHump(piece, { face: 'B', x: 6, y: 44 })).toEqual({ is: 'hit', distance: 5 });
    expect(judgeHump(piece, { face: 'B', x: 9, y: 48 })).toEqual({ is: 'off', distance: 10 });
    expect(judgeHump(piece, { face: 'A', x: 0, y: 80 })).toMatchObject({ is: 'wrong-face' });
    expect(judgeHump(piece, 'none')).toEqual({ is: 'none-missed' });
    expect(judgeHump(piece, null)).toEqual({ is: 'unsaid' });
    expect(judgeHump({ ...record, humps: [] }, 'none')).toEqual({ is: 'none-right' });
    expect(judgeHump({ ...record, humps: [] }, { face: 'A', x: 0, y: 0 })).toEqual({ is: 'none-there' });
  });
});

describe('the desk', () => {
  const desk = layDesk(record, { width: 600, height: 500 });
  if (desk === null) throw new Error('no desk');

  test('places go to the drawing and back, on both faces', () => {
    for (const face of ['A', 'B'] as const) {
      const [px, py] = desk.toDrawing(7, 31, face);
      const [x, y] = desk.toFrame(px, py, face);
      expect(x).toBeCloseTo(7, 9);
      expect(y).toBeCloseTo(31, 9);
    }
  });

  test('an axis that leans as the piece lies runs from its base to its tip', () => {
    const base = desk.toDrawing(0, 0, 'A');
    const tip = desk.toDrawing(0, record.frame.length, 'A');
    const { along, right } = directions(desk.lay);
    const size = Math.hypot(tip[0] - base[0], tip[1] - base[1]);
    expect(size).toBeCloseTo(record.frame.length * desk.scale, 6);
    expect((tip[0] - base[0]) / size).toBeCloseTo(along[0], 9);
    expect((tip[1] - base[1]) / size).toBeCloseTo(along[1], 9);
    const beside = desk.toDrawing(10, record.frame.length / 2, 'A');
    expect(beside[0] - desk.middle[0]).toBeCloseTo(10 * desk.scale * right[0], 6);
    expect(beside[1] - desk.middle[1]).toBeCloseTo(10 * desk.scale * right[1], 6);
  });

  test('all of the piece lies on it', () => {
    for (const [x, y] of record.outline.outer) {
      const [px, py] = desk.toDrawing(x, y, 'A');
      expect(px > 0 && px < 600 && py > 0 && py < 500).toBe(true);
    }
  });
});
