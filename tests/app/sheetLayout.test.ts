import { expect, test } from 'vitest';
import { layOut, scaleBar } from '../../src/app/bench/sheet/layout.ts';
import type { SpecimenRecord } from '../../src/record/schema.ts';
import { toRecord } from '../../src/record/toRecord.ts';
import { makeParts } from '../record/fixture.ts';

/** The fixture drawn out or in, and without its edge-on view, as a photograph's record has none. */
function shaped(long: number, wide: number): SpecimenRecord {
  const record = toRecord(makeParts());
  return {
    ...record,
    frame: { ...record.frame, length: record.frame.length * long },
    outline: { outer: record.outline.outer.map(([x, y]) => [x * wide, y * long] as const), inner: [] },
    profile: { ...record.profile, y: [], faceA: [], faceB: [] },
  };
}

test.each([
  ['as it is', 1, 1],
  ['a blade', 1, 0.25],
  ['a microlith', 0.1, 0.04],
  ['short and wide', 0.5, 1.6],
])(
  'the bar of the sheet and its words end before the next column, and it is round and no stub: %s',
  (_, long, wide) => {
    for (const letters of [1, 1.5]) {
      for (const size of [
        { width: 430, height: 470 },
        { width: 900, height: 380 },
      ]) {
        const layout = layOut(shaped(long, wide), size, false, letters);
        if (layout === null) throw new Error('no room');
        const { mm, from, to } = scaleBar(layout);
        expect(to - from).toBeCloseTo(mm * layout.scale, 9);
        expect(String(mm)).toMatch(/^(0\.)?[125]0*$/);
        expect(from).toBeGreaterThan(4);
        // The words begin 5 px beside the bar; the widest, "100 mm", are 41 px wide.
        expect(to + 5 + (41 / 6) * `${mm} mm`.length * letters).toBeLessThan(layout.planEnd);
        expect(mm).toBeGreaterThan(layout.length / 30);
      }
    }
  },
);
