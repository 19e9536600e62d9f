import { expect, test } from 'vitest';
import { pairHalfEdges } from '../../src/geometry/meshTwins.ts';
import { validateMesh } from '../../src/geometry/meshValidate.ts';
import { NO_TWIN } from '../../src/geometry/types.ts';

const positions = Float64Array.of(0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1);
const triangles = Uint32Array.of(0, 2, 1, 0, 1, 3, 1, 2, 3, 2, 0, 3);
const { pairs: twins } = pairHalfEdges(positions, triangles);
const whole = { closed: true, outward: true };

/** A mesh and its twins that a test may spoil. */
interface Parts {
  positions: Float64Array;
  triangles: Uint32Array;
  twins: Uint32Array;
}

test('a sound tetrahedron has no breach, at any scale', () => {
  for (const scale of [1e-9, 1e-3, 1, 1e3, 1e9]) {
    const scaled = { positions: positions.map((value) => value * scale), triangles };
    expect(validateMesh(scaled, twins, whole)).toEqual([]);
  }
});

const SPOILT: readonly (readonly [name: string, spoil: (own: Parts) => void, words: RegExp])[] = [
  ['an index out of range', (own) => own.triangles.set([4], 4), /out of range/],
  ['a corner twice', (own) => own.triangles.set([0], 1), /corner twice/],
  ['a coordinate that is no number', (own) => own.positions.set([Number.NaN], 5), /vertex 1: .*not finite/],
  ['an open edge', (own) => own.twins.set([NO_TWIN]), /no twin/],
  ['twins that disagree', (own) => own.twins.set([5]), /not the twin of its twin/],
  ['a twin out of range', (own) => own.twins.set([99]), /twin is out of range/],
  [
    'twins on different edges',
    (own) => {
      const [a, b] = own.twins;
      own.twins.set([b, a]);
      own.twins.set([1], a);
      own.twins.set([0], b);
    },
    /does not run back/,
  ],
  [
    'a vertex that nothing uses',
    (own) => {
      own.positions = Float64Array.of(...positions, 5, 5, 5);
    },
    /vertex 4: no triangle uses it/,
  ],
  [
    'a lost triangle',
    (own) => {
      own.triangles = triangles.slice(0, 9);
    },
    /one twin for each corner/,
  ],
];

test.each(SPOILT)('%s is found', (_, spoil, words) => {
  const own: Parts = { positions: positions.slice(), triangles: triangles.slice(), twins: twins.slice() };
  spoil(own);
  const found = validateMesh(own, own.twins, whole);
  expect(found.some((breach) => words.test(breach))).toBe(true);
});

test('a surface that faces inward is found', () => {
  const inward = triangles.slice();
  for (let t = 0; t < 12; t += 3) inward.subarray(t + 1, t + 3).reverse();
  const mesh = { positions, triangles: inward };
  const { pairs } = pairHalfEdges(positions, inward);
  expect(validateMesh(mesh, pairs, { closed: true })).toEqual([]);
  expect(validateMesh(mesh, pairs, whole)).toEqual(['mesh: the surface faces inward']);
});

test('of many breaches of one kind, a few are listed', () => {
  const none = new Uint32Array(12).fill(NO_TWIN);
  expect(validateMesh({ positions, triangles }, none, { closed: true }).length).toBe(3);
});
