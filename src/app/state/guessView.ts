import type { ViewName } from '../../trace/types.ts';

/** Words and letters by which people name the views of a piece in file names. */
const NAMES: readonly (readonly [RegExp, ViewName])[] = [
  [/^(b|back|rear|reverse|verso|ventral|face ?b|side ?b)$/, 'B'],
  [/^(l|left|sinister)$/, 'left'],
  [/^(r|right|dexter)$/, 'right'],
  [/^(tip|distal|endon|tipon)$/, 'tip'],
];
const EDGE_ON = /^(profile|edge|edgeon|side|lateral|thickness)$/;

/** A silhouette of this share of Face A's width over length, or less, is seen edge-on. */
const THIN = 0.65;

/**
 * Which view a photograph shows, by its file name: a word of its own for the other face, the left or the right; a word
 * for edge-on in general gives the first free of left and right. Null where the name says nothing, or says a view that
 * is not free.
 */
export function viewFromName(fileName: string, free: readonly ViewName[]): ViewName | null {
  const words = fileName
    .replace(/\.[^.]+$/, '')
    .replaceAll(/([a-z0-9])([A-Z])/g, '$1 $2')
    .toLowerCase()
    .split(/[^\p{Letter}\p{Number}]+/u);
  const edgeOn = words.some((word) => EDGE_ON.test(word));
  // The last words say most: names begin with what the piece is called.
  for (const word of words.toReversed()) {
    const view = NAMES.find(([pattern, view]) => pattern.test(word) && !(edgeOn && view === 'B'))?.[1];
    if (view !== undefined) return free.includes(view) ? view : null;
  }
  if (edgeOn) return free.find((view) => view === 'left' || view === 'right') ?? null;
  return null;
}

/**
 * Which view a photograph shows, by how slender its outline is beside that of Face A (width over length of each): a far
 * thinner one is edge-on. Falls to the first free view; null where none is free.
 */
export function viewFromOutline(
  slenderness: number | null,
  ofFaceA: number | null,
  free: readonly ViewName[],
): ViewName | null {
  const thin = slenderness !== null && ofFaceA !== null && slenderness < THIN * ofFaceA;
  return free.find((view) => view !== 'tip' && (view !== 'B') === thin) ?? free[0] ?? null;
}
