import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { dropUnusedVertices, keepTriangles, keepTrianglesAndTwins } from '../../src/geometry/meshCompact.ts';
import { apexCorner, nextCorner } from '../../src/geometry/meshCorner.ts';
import { findHoles } from '../../src/geometry/meshHoles.ts';
import { applyFlips, orientPieces } from '../../src/geometry/meshOrient.ts';
import { closeHoles } from '../../src/geometry/meshPatch.ts';
import { pairHalfEdges } from '../../src/geometry/meshTwins.ts';
import { validateMesh } from '../../src/geometry/meshValidate.ts';
import { weldVertices } from '../../src/geometry/meshWeld.ts';
import { NO_TWIN } from '../../src/geometry/types.ts';

const SEED = 7;

/** Triangles over a few vertices, with three different corners each: every kind of tangle turns up. */
const tangles = fc
  .array(fc.tuple(fc.nat({ max: 9 }), fc.nat({ max: 9 }), fc.nat({ max: 9 })), {
    minLength: 1,
    maxLength: 40,
  })
  .map((faces) => faces.filter(([a, b, c]) => a !== b && b !== c && c !== a))
  .filter((faces) => faces.length > 0)
  .map((faces) => Uint32Array.from(faces.flat()));

/** Ten places in general position. */
const PLACES = Float64Array.from({ length: 30 }, (_, i) => Math.sin(12.9898 * (i + 1)) * 50);

/** Corners 0 … n − 1 of triangles by undirected edge. */
function byEdge(triangles: Uint32Array): Map<string, number[]> {
  const edges = new Map<string, number[]>();
  triangles.forEach((from, h) => {
    const to = triangles[nextCorner(h)];
    const key = `${Math.min(from, to)} ${Math.max(from, to)}`;
    edges.set(key, [...(edges.get(key) ?? []), h]);
  });
  return edges;
}

describe('pairHalfEdges', () => {
  test(`against counting every edge, seed ${SEED}`, () => {
    fc.assert(
      fc.property(tangles, (triangles) => {
        const { pairs, numSameWay, numOpen, numNonManifold, duplicates } = pairHalfEdges(PLACES, triangles);
        let sameWay = 0;
        let nonManifold = 0;
        for (const halfEdges of byEdge(triangles).values()) {
          if (halfEdges.length === 1) expect(pairs[halfEdges[0]]).toBe(NO_TWIN);
          if (halfEdges.length === 2) {
            expect([pairs[halfEdges[0]], pairs[halfEdges[1]]]).toEqual([halfEdges[1], halfEdges[0]]);
            if (triangles[halfEdges[0]] === triangles[halfEdges[1]]) sameWay++;
          }
          if (halfEdges.length > 2) nonManifold++;
          for (const h of halfEdges) {
            if (pairs[h] === NO_TWIN) continue;
            expect(halfEdges).toContain(pairs[h]);
            expect(pairs[pairs[h]]).toBe(h);
            if (halfEdges.length > 2) expect(triangles[pairs[h]]).not.toBe(triangles[h]);
          }
          // As many opposite pairs as there can be.
          if (halfEdges.length > 2) {
            const forward = halfEdges.filter((h) => triangles[h] < triangles[nextCorner(h)]).length;
            const paired = halfEdges.filter((h) => pairs[h] !== NO_TWIN).length;
            expect(paired).toBe(2 * Math.min(forward, halfEdges.length - forward));
          }
        }
        expect([numSameWay, numNonManifold]).toEqual([sameWay, nonManifold]);
        expect(numOpen).toBe(pairs.filter((pair) => pair === NO_TWIN).length);
        const seen = new Set<string>();
        for (let t = 0; t < triangles.length / 3; t++) {
          const corners = triangles
            .slice(3 * t, 3 * t + 3)
            .sort()
            .join();
          expect(duplicates?.[t] ?? 0).toBe(seen.has(corners) ? 1 : 0);
          seen.add(corners);
        }
      }),
      { seed: SEED, numRuns: 400 },
    );
  });

  test('round a vertex in a thousand triangles, in whatever order they come', () => {
    // Vertex 0 in the middle of 1 … 1000, every seventh triangle after the one before.
    const numSpokes = 1000;
    const faces = Array.from({ length: numSpokes }, (_, k) => (7 * k) % numSpokes);
    const triangles = Uint32Array.from(faces.flatMap((k) => [0, 1 + k, 1 + ((k + 1) % numSpokes)]));
    const { pairs, numOpen, numNonManifold } = pairHalfEdges(new Float64Array(3 * numSpokes + 3), triangles);
    expect([numOpen, numNonManifold]).toEqual([numSpokes, 0]);
    faces.forEach((_, t) => {
      expect(triangles[pairs[3 * t + 2]]).toBe(0);
      expect(triangles[nextCorner(pairs[3 * t + 2])]).toBe(triangles[3 * t + 2]);
    });
  });

  test('at an edge of three, the two that continue each other most flatly stay together', () => {
    // Edge 0–1 along z; a flat sheet to both sides of it and a fin that stands on it.
    const positions = Float64Array.of(0, 0, 0, 0, 0, 1, 1, 0.1, 0, -1, 0.1, 0, 0.1, 1, 0);
    const triangles = Uint32Array.of(0, 1, 2, 1, 0, 4, 1, 0, 3);
    const { pairs } = pairHalfEdges(positions, triangles);
    expect([pairs[0], pairs[6], pairs[3]]).toEqual([6, 0, NO_TWIN]);
  });
});

describe('orientPieces and applyFlips', () => {
  test(`make sound twins of any tangle, seed ${SEED}`, () => {
    fc.assert(
      fc.property(tangles, (given) => {
        const { duplicates } = pairHalfEdges(PLACES, given);
        const triangles = keepTriangles(given.slice(), (t) => duplicates?.[t] !== 1).slice();
        const pairing = pairHalfEdges(PLACES, triangles);
        const before = byEdge(triangles);
        const { pieceOf, flips } = orientPieces(PLACES, triangles, pairing);
        applyFlips(triangles, pairing.pairs, flips);
        const positions = PLACES.slice();
        const used = dropUnusedVertices(positions, triangles);
        expect(validateMesh({ positions: used, triangles }, pairing.pairs)).toEqual([]);
        pairing.pairs.forEach((pair, h) => {
          if (pair !== NO_TWIN) expect(pieceOf[Math.floor(pair / 3)]).toBe(pieceOf[Math.floor(h / 3)]);
        });
        expect(before.size).toBe(byEdge(triangles).size);
      }),
      { seed: SEED, numRuns: 300 },
    );
  });

  test('of a one-sided strip cut the one edge where its winding changes, and turn nothing', () => {
    const steps = 5;
    const strip = Array.from({ length: steps }, (_, i) => {
      const [top, bottom] = [2 * i, 2 * i + 1];
      const [nextTop, nextBottom] = i + 1 < steps ? [top + 2, bottom + 2] : [1, 0];
      return [top, bottom, nextTop, bottom, nextBottom, nextTop];
    });
    const triangles = Uint32Array.from(strip.flat());
    const pairing = pairHalfEdges(PLACES, triangles);
    const { flips, numCut, areas } = orientPieces(PLACES, triangles, pairing);
    expect([areas.length, numCut, new Set(flips).size]).toEqual([1, 1, 1]);
    expect(pairing.pairs.filter((pair) => pair === NO_TWIN).length).toBe(2 * steps + 2);
  });
});

describe('findHoles and closeHoles', () => {
  test(`close any tangle, every rim a ring of different vertices, seed ${SEED}`, () => {
    fc.assert(
      fc.property(tangles, (given) => {
        const { duplicates } = pairHalfEdges(PLACES, given);
        const triangles = keepTriangles(given.slice(), (t) => duplicates?.[t] !== 1).slice();
        const pairing = pairHalfEdges(PLACES, triangles);
        applyFlips(triangles, pairing.pairs, orientPieces(PLACES, triangles, pairing).flips);
        const mesh = { positions: dropUnusedVertices(PLACES.slice(), triangles).slice(), triangles };
        const twins = pairing.pairs;
        const holes = findHoles(mesh, twins);
        const rims = holes.flatMap(({ rim }) => Array.from(rim)).sort((a, b) => a - b);
        expect(rims).toEqual(Array.from(twins.keys()).filter((h) => twins[h] === NO_TWIN));
        for (const { rim } of holes) {
          rim.forEach((h, k) => {
            expect(triangles[nextCorner(h)]).toBe(triangles[rim[(k + 1) % rim.length]]);
          });
          expect(new Set(Array.from(rim, (h) => triangles[h])).size).toBe(rim.length);
        }
        const inputs = [mesh.positions.slice(), triangles.slice(), twins.slice()];
        const closed = closeHoles({ mesh, twins }, holes);
        expect(validateMesh(closed.mesh, closed.twins, { closed: true })).toEqual([]);
        expect([mesh.positions, triangles, twins]).toEqual(inputs);
      }),
      { seed: SEED, numRuns: 300 },
    );
  });
});

describe('weldVertices', () => {
  test(`against a map of places, seed ${SEED}`, () => {
    const coordinate = fc.constantFrom(0, -0, 1, -1, 0.1, 1e-300, 1e30);
    const soups = fc.array(fc.tuple(coordinate, coordinate, coordinate), { minLength: 3, maxLength: 200 });
    fc.assert(
      fc.property(soups, (places) => {
        const positions = Float64Array.from(places.flat());
        const triangles = Uint32Array.from({ length: places.length }, (_, h) => (h * 7) % places.length);
        const wanted = Array.from(triangles, (v) => places[v].map((value) => value + 0));
        const { positions: packed, numWelded } = weldVertices(positions, triangles);
        expect(Array.from(triangles, (v) => Array.from(packed.subarray(3 * v, 3 * v + 3)))).toEqual(wanted);
        const firsts = [
          ...new Map(places.map((place) => [place.map((value) => value + 0).join(), place])).keys(),
        ];
        expect(packed.length / 3).toBe(firsts.length);
        expect(numWelded).toBe(places.length - firsts.length);
        const kept = Array.from({ length: firsts.length }, (_, v) =>
          Array.from(packed.subarray(3 * v, 3 * v + 3)).join(),
        );
        expect(kept).toEqual(firsts);
      }),
      { seed: SEED, numRuns: 300 },
    );
  });

  test('a hundred thousand vertices on a line, each twice', () => {
    const n = 100_000;
    const positions = Float64Array.from({ length: 6 * n }, (_, i) =>
      i % 3 === 0 ? Math.floor(i / 3) % n : 0,
    );
    const triangles = Uint32Array.from({ length: 3 }, (_, h) => n + h);
    const { positions: packed, numWelded } = weldVertices(positions, triangles);
    expect([packed.length / 3, numWelded]).toEqual([n, n]);
    expect(Array.from(triangles)).toEqual([0, 1, 2]);
  });
});

describe('dropping triangles', () => {
  test(`keeps the twins of the rest, seed ${SEED}`, () => {
    const choices = fc.record({
      given: tangles,
      keep: fc.array(fc.boolean(), { minLength: 40, maxLength: 40 }),
    });
    fc.assert(
      fc.property(choices, ({ given, keep }) => {
        const { duplicates } = pairHalfEdges(PLACES, given);
        const triangles = keepTriangles(given.slice(), (t) => duplicates?.[t] !== 1).slice();
        const pairing = pairHalfEdges(PLACES, triangles);
        applyFlips(triangles, pairing.pairs, orientPieces(PLACES, triangles, pairing).flips);
        const name = (h: number): string =>
          [h, nextCorner(h), apexCorner(h)].map((corner) => triangles[corner]).join();
        const wanted = Array.from(triangles.keys()).flatMap((h) => {
          if (!keep[Math.floor(h / 3)]) return [];
          const twin = pairing.pairs[h];
          return [`${name(h)} ${twin === NO_TWIN || !keep[Math.floor(twin / 3)] ? '' : name(twin)}`];
        });
        const kept = keepTrianglesAndTwins(triangles.slice(), pairing.pairs.slice(), (t) => keep[t]);
        const keptName = (h: number): string =>
          [h, nextCorner(h), apexCorner(h)].map((corner) => kept.triangles[corner]).join();
        expect(
          Array.from(kept.twins, (twin, h) => `${keptName(h)} ${twin === NO_TWIN ? '' : keptName(twin)}`),
        ).toEqual(wanted);
      }),
      { seed: SEED, numRuns: 200 },
    );
  });
});
