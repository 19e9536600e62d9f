import fc from 'fast-check';
import { expect, test } from 'vitest';
import { eachPart, partAt } from '../../src/geometry/rasterParts.ts';

const masks = fc.integer({ min: 1, max: 12 }).chain((columns) =>
  fc.record({
    columns: fc.constant(columns),
    mask: fc
      .integer({ min: 1, max: 12 })
      .chain((rows) =>
        fc.array(fc.integer({ min: 0, max: 2 }), { minLength: rows * columns, maxLength: rows * columns }),
      )
      .map((cells) => Uint8Array.from(cells, (cell) => Math.min(1, cell))),
  }),
);

test('the part that a cell is in is the one of all parts that holds it', () => {
  fc.assert(
    fc.property(masks, fc.nat(), ({ mask, columns }, any) => {
      const start = any % mask.length;
      const expected = new Uint8Array(mask.length);
      eachPart(mask, columns, 4, (part) => {
        if (part.includes(start)) for (const cell of part) expected[cell] = 1;
      });
      expect(partAt(mask, columns, start)).toEqual(expected);
    }),
  );
});
