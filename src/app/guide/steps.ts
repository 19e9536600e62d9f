import type { Route } from '../state/route.ts';

/** One stop of the guided look: where it is, what it points at and what to see there. */
export interface Step {
  readonly route: Route;
  /** What is framed while the step lasts: the first element that fits, once it is there. */
  readonly target: string;
  readonly title: string;
  readonly words: string;
  /** Something to do with one's own hands. */
  readonly tryIt?: string;
  /** The corner where the card stands, away from what it tells of. */
  readonly corner: 'left' | 'right';
}

/** A preform given up over a hump: it has something for every view. */
const PIECE = 'qt-41-7-humped-preform';
const drawer: Route = { place: 'drawer' };
const bench: Route = { place: 'bench', piece: PIECE };

/** About three minutes at reading pace. */
export const STEPS: readonly Step[] = [
  {
    route: drawer,
    target: '[aria-labelledby="demo-pieces"] .cards',
    title: 'The drawer',
    words:
      'Every piece has a card: its Face A, length × width × thickness, and what to beware of. Those here are invented, so that their true measures are known.',
    tryIt: 'Order the drawer by mean edge angle: early work stands at one end, finished work at the other.',
    corner: 'right',
  },
  {
    route: bench,
    target: '.stage',
    title: 'The piece itself',
    words:
      'The whole scan, tip up, with the margin found where the two faces meet. What was measured is kept; whatever you change is measured at once.',
    tryIt:
      'Turn it with the mouse or the arrow keys. Drag the dot in the small sky to rake the light over the scars. Drag the round grip to move the section plane.',
    corner: 'right',
  },
  {
    route: bench,
    target: '.main-numbers',
    title: 'Numbers with their uncertainty',
    words:
      'Each number is followed by its standard uncertainty: about two times in three the true value lies within it. It is reckoned from the scan’s own triangles and noise, from its scale, and from how surely the axis can be told.',
    corner: 'right',
  },
  {
    route: bench,
    target: '.sheet',
    title: 'Plan, edge-on view and strips',
    words:
      'All of these share one scale, so that a level line is one station along the length. The dashed outline is the plan mirrored in its axis: where the two part, the piece is lopsided.',
    tryIt: 'Move over it, or press the up and down arrows: the section, the margin and the piece follow.',
    corner: 'left',
  },
  {
    route: bench,
    target: '.unrolled',
    title: 'The margin, unrolled',
    words:
      'The edge laid straight from the tip down the right side, round the base and up the left. Above, how sharp it is; below, how far it winds up and down. Winding falls as the work goes on.',
    corner: 'right',
  },
  {
    route: bench,
    target: '.hump-list',
    title: 'Where thinning stopped',
    words:
      'Humps are lumps that thinning flakes failed to take off. For each: how high it stands, and how far a flake must run from either margin to carry it away.',
    tryIt: 'Choose one: every view turns to it.',
    corner: 'left',
  },
  {
    route: bench,
    target: '.family',
    title: 'The ledger, and where its numbers come from',
    words:
      'Every measure has a small picture. Press it, and what the number is taken from is drawn on the piece. Press the name for its definition, its source and what its uncertainty is made of.',
    tryIt: 'Press the picture beside Width, then Escape.',
    corner: 'left',
  },
  {
    route: bench,
    target: '.controls',
    title: 'Your eye decides',
    words:
      'The program proposes; you decide. Swap faces or ends, choose another axis, mark a break, enter caliper readings: what depends on it is measured at once. Undo goes all the way back, and Automatic is one press away.',
    tryIt: 'Hand check, above, hides the answers until you have measured the piece yourself.',
    corner: 'left',
  },
  {
    route: { place: 'lineup', view: 'continuum' },
    target: 'main',
    title: 'Lineup and Plate',
    words:
      'Lineup compares pieces: tables, scatters, outlines, ranks along the continuum of reduction. Plate draws the figure for print, at true scale.',
    corner: 'left',
  },
  {
    route: drawer,
    target: '.drawer-ways',
    title: 'Your own pieces',
    words:
      'Drop scans or photographs with a scale anywhere, one or many. They are measured and kept on this computer alone; nothing is sent anywhere. Export the drawer from time to time: it is your copy.',
    corner: 'right',
  },
];
