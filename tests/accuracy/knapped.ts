import { cobble, flakeBlank } from '../../sample-scans/generate/blank.ts';
import { breakEnds, tidyMargin, trimMargin } from '../../sample-scans/generate/passes.ts';
import type { Planform } from '../../sample-scans/generate/planform.ts';
import { knapRound, type Round } from '../../sample-scans/generate/round.ts';
import { scanMade } from '../../sample-scans/generate/scan.ts';
import { Stone } from '../../sample-scans/generate/stone.ts';
import type { Truth } from '../../sample-scans/generate/truth.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { createRandom, type Random } from '../pieces/random.ts';

/** Kinds of knapped pieces, from the first blows to a point. */
export const KNAPPED = ['early', 'thinned', 'late', 'plano-convex', 'point'] as const;
export type Knapped = (typeof KNAPPED)[number];

export interface KnappedPiece {
  readonly mesh: TriangleMesh;
  readonly truth: Truth;
}

/** A stone of the kind, knapped by blows drawn from `seed`, and scanned at edges of `spacing` mm. */
export function knappedPiece(kind: Knapped, seed: number, spacing: number): KnappedPiece {
  return scanMade({ stone: KNAP[kind](createRandom(seed)) }, spacing);
}

const KNAP: Record<Knapped, (random: Random) => Stone> = {
  early: (random) => early(form(random, { length: 120, width: 76, base: 0.5, tip: 0.62 }), random),
  thinned: (random) => thinned(form(random, { length: 96, width: 56, base: 0.5, tip: 0.7 }), random),
  late: (random) => late(form(random, { length: 84, width: 42, base: 0.5, tip: 0.76 }), random),
  'plano-convex': (random) => worked(form(random, { length: 66, width: 36, base: 0.4, tip: 0.6 }), random),
  point: (random) => point(form(random, { length: 48, width: 26, base: 0.25, tip: 0.85 }), random),
};

/** A plan of about this size and shape. */
function form(random: Random, { length, width, base, tip }: Planform): Planform {
  const size = random.between(0.8, 1.25);
  return {
    length: size * length,
    width: size * width * random.between(0.9, 1.1),
    base: base * random.between(0.85, 1.15),
    tip: tip * random.between(0.9, 1.1),
    lean: random.between(-0.08, 0.08),
    bow: random.between(-0.02, 0.02) * length,
  };
}

const draw = (random: Random): number => 1 + Math.floor(1e6 * random.next());

function early(plan: Planform, random: Random): Stone {
  const { length, width } = plan;
  const stone = new Stone(
    cobble({ length: 1.12 * length, width: 1.16 * width, thickness: 0.57 * width }, draw(random)),
  );
  const round: Round = {
    form: plan,
    faces: [0.23 * width, 0.22 * width],
    spacing: 0.22 * width,
    order: 'alternate',
    reach: [0.3, 0.5],
    width: [0.32 * width, 0.45 * width],
    thickest: 0.1 * width,
    thinnest: 0.017 * width,
    bite: 0.08 * width,
    hinges: 0.12,
    steps: 0.12,
    ripple: 0.06,
  };
  knapRound(stone, round, draw(random));
  knapRound(stone, { ...round, spacing: 0.19 * width, bite: 0.07 * width }, draw(random));
  tidyMargin(stone, plan, 0.08 * width, draw(random));
  return stone;
}

function thinned(plan: Planform, random: Random): Stone {
  const { width } = plan;
  const rough: Planform = { ...plan, length: 1.14 * plan.length, width: 1.25 * width };
  const stone = early(rough, random);
  const round: Round = {
    form: plan,
    faces: [0.145 * width, 0.14 * width],
    spacing: 0.18 * width,
    order: 'alternate',
    reach: [0.5, 0.78],
    width: [0.24 * width, 0.38 * width],
    thickest: 0.077 * width,
    thinnest: 0.01 * width,
    bite: 0.07 * width,
    hinges: 0.08,
    steps: 0.06,
    ripple: 0.05,
  };
  for (let k = 0; k < 5; k++) knapRound(stone, round, draw(random));
  trimMargin(stone, plan, 0.17 * width, draw(random));
  tidyMargin(stone, plan, 0.037 * width, draw(random));
  return stone;
}

function late(plan: Planform, random: Random): Stone {
  const { width } = plan;
  const stone = thinned({ ...plan, length: 1.1 * plan.length, width: 1.25 * width }, random);
  breakEnds(stone, plan, 1);
  const round: Round = {
    form: plan,
    faces: [0.105 * width, 0.1 * width],
    spacing: 0.16 * width,
    order: 'alternate',
    reach: [0.5, 0.75],
    width: [0.21 * width, 0.33 * width],
    thickest: 0.053 * width,
    thinnest: 0.006 * width,
    bite: 0.053 * width,
    hinges: 0.04,
    steps: 0.02,
    ripple: 0.03,
  };
  for (let k = 0; k < 6; k++) knapRound(stone, round, draw(random));
  for (const size of [0.12, 0.08, 0.053]) trimMargin(stone, plan, size * width, draw(random));
  tidyMargin(stone, plan, 0.02 * width, draw(random));
  return stone;
}

function worked(plan: Planform, random: Random): Stone {
  const { length, width } = plan;
  const stone = new Stone(
    flakeBlank({ length: 1.11 * length, width: 1.32 * width, thickness: 0.34 * width }, draw(random)),
  );
  const round: Round = {
    form: plan,
    faces: [0.24 * width, 0.04 * width],
    spacing: 0.18 * width,
    order: 'a',
    reach: [0.35, 0.55],
    width: [0.21 * width, 0.37 * width],
    thickest: 0.08 * width,
    thinnest: 0.008 * width,
    bite: 0.1 * width,
    hinges: 0.08,
    ripple: 0.03,
    profile: 0.6,
  };
  for (let k = 0; k < 4; k++) knapRound(stone, round, draw(random));
  for (const size of [0.12, 0.07]) trimMargin(stone, plan, size * width, draw(random), { order: 'a' });
  tidyMargin(stone, plan, 0.026 * width, draw(random), { order: 'a' });
  return stone;
}

function point(plan: Planform, random: Random): Stone {
  const { length, width } = plan;
  const stone = new Stone(
    flakeBlank({ length: 1.6 * length, width: 1.6 * width, thickness: 0.26 * width }, draw(random)),
  );
  const round: Round = {
    form: plan,
    faces: [0.104 * width, 0.09 * width],
    spacing: 0.136 * width,
    order: 'a',
    reach: [0.4, 0.55],
    width: [0.18 * width, 0.26 * width],
    thickest: 0.052 * width,
    thinnest: 0.004 * width,
    bite: 0.08 * width,
    slant: 0.15,
    scatter: 0.1,
    ripple: 0.015,
  };
  breakEnds(stone, plan, 0.5);
  for (let k = 0; k < 4; k++) knapRound(stone, round, draw(random));
  for (let k = 0; k < 2; k++) {
    knapRound(
      stone,
      { ...round, order: 'b', trim: true, thickest: 0.02 * width, bite: 0.03 * width, reach: [0.25, 0.5] },
      draw(random),
    );
  }
  for (const size of [0.1, 0.07]) trimMargin(stone, plan, size * width, draw(random));
  tidyMargin(stone, plan, 0.02 * width, draw(random));
  return stone;
}
