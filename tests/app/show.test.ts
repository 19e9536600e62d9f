import { beforeAll, describe, expect, test } from 'vitest';
import { lookAt } from '../../src/app/bench/show/look.ts';
import type { Mark, Place, Shown } from '../../src/app/bench/show/marks.ts';
import { showMeasure } from '../../src/app/bench/show/table.ts';
import { measureScan } from '../../src/record/measureScan.ts';
import type { SpecimenRecord } from '../../src/record/schema.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { humpedPiece, toPly } from '../browser/scans.ts';

let record: SpecimenRecord;

beforeAll(async () => {
  const settings = { ...DEFAULT_SETTINGS, measure: { ...DEFAULT_SETTINGS.measure, density: 2.6 } };
  ({ record } = await measureScan(toPly(humpedPiece(20_000)), 'piece.ply', settings, {}));
});

function shown(id: string): Shown {
  const found = showMeasure(lookAt(record), id);
  if (found === null) throw new Error(`${id} shows nothing`);
  return found;
}

function value(id: string): number {
  const found = record.measurements.find((measurement) => measurement.id === id)?.value;
  if (typeof found !== 'number') throw new Error(`${id} has no number`);
  return found;
}

const span = ([from, to]: readonly Place[]): number =>
  Math.hypot(to[0] - from[0], to[1] - from[1], to[2] - from[2]);

function dimensions(id: string): readonly Mark[] {
  return shown(id).marks.filter(({ kind }) => kind === 'dimension');
}

describe('what a number comes from, drawn', () => {
  test('every measure that has a value has a place on the piece', () => {
    const look = lookAt(record);
    const bare = record.measurements
      // Where there are no humps there is nothing to show of them.
      .filter(({ value: found, unit }) => found !== null && !(unit === 'count' && found === 0))
      .filter(({ id }) => showMeasure(look, id) === null)
      .map(({ id }) => id);
    expect(bare).toEqual([]);
  });

  test('a measure that does not apply shows nothing', () => {
    const without = record.measurements.map((one) =>
      one.id === 'tip.radius' ? { ...one, value: null, reason: 'the tip is hollow' } : one,
    );
    expect(showMeasure(lookAt({ ...record, measurements: without }), 'tip.radius')).toBeNull();
    expect(showMeasure(lookAt(record), 'no.such.measure')).toBeNull();
  });

  test.each([
    'length',
    'width',
    'width.at.10',
    'width.at.75',
    'feret.max',
    'feret.min',
    'tip.radius',
    'thickness',
    'thickness.at.20',
    'thickness.at.80',
    'thickness.box',
    'section.30.thickness',
    'section.width.width',
    'section.50.width',
  ])('the stroke of %s is as long as the number says', (id) => {
    const [stroke] = dimensions(id);
    // The record's coordinates are rounded, and sections are cut where the surface is, not where its map's cells are.
    expect(span(stroke.points)).toBeCloseTo(value(id), 1);
  });

  test('the bow, the worst asymmetry and the range of an edge are differences of what is drawn', () => {
    expect(span(dimensions('midline.bow')[0].points)).toBeCloseTo(Math.abs(value('midline.bow')), 2);
    // Half-widths are signed: at an end that lies off the axis one of them is negative.
    const [left, right] = dimensions('symmetry.worst').map(({ points: [, to] }) => to[0]);
    expect(right + left).toBeCloseTo(value('symmetry.worst'), 1);
    const [high, low] = dimensions('edge.range.left').map(({ points: [from, to] }) => to[2] - from[2]);
    expect(high - low).toBeCloseTo(value('edge.range.left'), 1);
  });

  test('the lines at the tip enclose the tip angle; the base’s stroke over its chord is the base shape', () => {
    const [left, right] = shown('tip.angle')
      .marks.filter(({ kind }) => kind === 'line')
      .map(({ points: [from, to] }) => Math.atan2(to[0] - from[0], to[1] - from[1]));
    expect(((left - right) * 180) / Math.PI).toBeCloseTo(value('tip.angle'), 1);
    const { marks } = shown('base.shape');
    const sagitta = marks.find(({ kind }) => kind === 'dimension')?.points as readonly Place[];
    const chord = marks.find(({ kind }) => kind === 'guide')?.points as readonly Place[];
    expect((sagitta[1][1] - sagitta[0][1]) / span(chord)).toBeCloseTo(value('base.shape'), 2);
  });

  test('extremes of the edge angle are the places that have them', () => {
    const { edgeAngle } = record.series;
    const angles = (edgeAngle.angle ?? []) as (number | null)[];
    for (const which of ['min', 'max'] as const) {
      const { marks, station } = shown(`edge.angle.${which}`);
      const k = angles.findIndex((angle, i) => angle !== null && edgeAngle.x[i] === marks[0].points[0][0]);
      expect(angles[k]).toBeCloseTo(value(`edge.angle.${which}`), 1);
      expect(station).toBeCloseTo(edgeAngle.station[k] as number, 1);
    }
    expect(shown('edge.angle.right.min').arcs?.[0][0]).toBeLessThan(
      shown('edge.angle.left.min').arcs?.[0][0] as number,
    );
  });

  test('a thickness that a photograph of the tip alone tells is drawn from jaw to jaw, without a place along the piece', () => {
    const silent = ['thickness.station', 'thickness.offset'];
    const measurements = record.measurements.map((one) =>
      silent.includes(one.id) ? { ...one, value: null, reason: 'the photographs do not tell' } : one,
    );
    const profile = { y: [], faceA: [], faceB: [] };
    const look = lookAt({ ...record, measurements, profile, sections: [] });
    for (const id of ['thickness', 'thickness.box', 'width.thickness', 'roe.thb', 'bordes.me', 'flatness']) {
      const found = showMeasure(look, id);
      expect(found?.fromTip, id).toBe(true);
      const strokes = found?.marks.filter(({ kind, edgeOn }) => kind === 'dimension' && edgeOn) ?? [];
      expect(span(strokes[0].points), id).toBeCloseTo(value('thickness.box'), 6);
      expect(found?.station, id).toBeUndefined();
    }
  });

  test('points the views at its station, and at its hump', () => {
    expect(shown('width').station).toBeCloseTo(value('width.station'), 1);
    expect(shown('thickness').station).toBeCloseTo(value('thickness.station'), 1);
    expect(shown('section.40.area').station).toBe(40);
    const { hump } = shown('humps.tallest');
    expect(record.humps[hump as number].prominence).toBeCloseTo(value('humps.tallest'), 2);
  });
});
