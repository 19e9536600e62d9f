/** A place in the specimen frame, mm. */
export type Place = readonly [x: number, y: number, z: number];

/**
 * One stroke of what a measure comes from. `dimension`: what is measured, with ticks at its ends; `line` and `ring`: what
 * it is measured on; `guide`: a helping line, drawn thin; `dot`: a single place.
 */
export interface Mark {
  readonly kind: 'dimension' | 'line' | 'ring' | 'guide' | 'dot';
  readonly points: readonly Place[];
  /** Seen edge-on alone: a silhouette does not tell where across the piece it is, and x stands at 0. */
  readonly edgeOn?: true;
}

/** The geometry that a number comes from. */
export interface Shown {
  /** One clause: what is drawn. */
  readonly words: string;
  readonly marks: readonly Mark[];
  /** Where the views point while it is shown, percent of the length. */
  readonly station?: number;
  /** Stretches of the margin that it is taken from: arc length from the tip, mm. */
  readonly arcs?: readonly (readonly [from: number, to: number])[];
  /** It was taken from a photograph of the tip, and is drawn in that one. */
  readonly fromTip?: true;
  /** Which hump is meant, in the record's order. */
  readonly hump?: number;
}

export const dimension = (from: Place, to: Place): Mark => ({ kind: 'dimension', points: [from, to] });
export const guide = (...points: readonly Place[]): Mark => ({ kind: 'guide', points });
export const line = (points: readonly Place[]): Mark => ({ kind: 'line', points });
export const ring = (points: readonly Place[]): Mark => ({ kind: 'ring', points });
export const dot = (at: Place): Mark => ({ kind: 'dot', points: [at] });
export const edgeOn = (mark: Mark): Mark => ({ ...mark, edgeOn: true });
