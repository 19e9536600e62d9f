/** Ways to look at the piece, named by what faces the viewer. */
export const VIEWS = ['A', 'B', 'left', 'right', 'tip', 'base'] as const;
export type ViewName = (typeof VIEWS)[number];

export const VIEW_LABELS: Readonly<Record<ViewName, string>> = {
  A: 'Face A',
  B: 'Face B',
  left: 'Left',
  right: 'Right',
  tip: 'Tip',
  base: 'Base',
};

/** Where the eye is: `turn` about the length axis from Face A towards its right, `tilt` down from the tip; radians. */
export interface Eye {
  readonly turn: number;
  readonly tilt: number;
}

const QUARTER = Math.PI / 2;

/** Seen from the tip or the base, Face A is up. */
export const EYES: Readonly<Record<ViewName, Eye>> = {
  A: { turn: 0, tilt: QUARTER },
  B: { turn: Math.PI, tilt: QUARTER },
  left: { turn: -QUARTER, tilt: QUARTER },
  right: { turn: QUARTER, tilt: QUARTER },
  tip: { turn: Math.PI, tilt: 1e-4 },
  base: { turn: 0, tilt: Math.PI - 1e-4 },
};

/** Direction from the piece to the eye, unit. */
export function toEye({ turn, tilt }: Eye): readonly [number, number, number] {
  return [Math.sin(tilt) * Math.sin(turn), Math.cos(tilt), Math.sin(tilt) * Math.cos(turn)];
}

/** Extent of a piece in its own frame, mm. */
export interface Extent {
  readonly x: number;
  readonly y: number;
  readonly z: number;
}

/** What a view shows across and up, mm. */
export function seenExtent(view: ViewName, { x, y, z }: Extent): readonly [across: number, up: number] {
  if (view === 'A' || view === 'B') return [x, y];
  return view === 'left' || view === 'right' ? [z, y] : [x, z];
}
