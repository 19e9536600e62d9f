import fc from 'fast-check';
import { expect, test } from 'vitest';
import { formatRoute, LINEUP_VIEWS, parseRoute } from '../../src/app/state/route.ts';

test('every address that is written is read back, whatever the piece is called', () => {
  fc.assert(
    fc.property(fc.string({ minLength: 1, unit: 'grapheme' }), (piece) => {
      const route = { place: 'bench' as const, piece };
      expect(parseRoute(formatRoute(route))).toEqual(route);
    }),
  );
  for (const view of LINEUP_VIEWS) {
    const route = { place: 'lineup' as const, view };
    expect(parseRoute(formatRoute(route))).toEqual(route);
  }
  expect(parseRoute(formatRoute({ place: 'drawer' }))).toEqual({ place: 'drawer' });
});

test('an address that says nothing, or nonsense, leads to the drawer', () => {
  for (const hash of ['', '#', '#/', '#/bench', '#/bench/', '#/cupboard/3', '#/bench/%E0%A4%A']) {
    expect(parseRoute(hash)).toEqual({ place: 'drawer' });
  }
});

test('a view that the lineup does not have leads to its table', () => {
  for (const hash of ['#/lineup', '#/lineup/', '#/lineup/nonsense']) {
    expect(parseRoute(hash)).toEqual({ place: 'lineup', view: 'table' });
  }
});
