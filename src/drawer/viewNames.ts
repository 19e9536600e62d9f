import type { ViewName } from '../trace/types.ts';

/** What a word in a file name says of the view: one of them, Face A, or edge-on from either side. */
export type SaidView = ViewName | 'A' | 'edge';

/** What a file is called after: a piece, and which view of it, if it says that. */
export interface SaidName {
  readonly view: SaidView | null;
  /** The name without the words for the view: small letters, words parted by spaces. */
  readonly piece: string;
  /** The same with all words. */
  readonly whole: string;
  /** A letter alone says the view. */
  readonly byLetter: boolean;
}

type Names = readonly (readonly [RegExp, SaidView])[];

/** Words and letters by which people name the views of a piece in file names. */
const FURTHER: Names = [
  [/^(b|back|rear|reverse|verso|ventral|faceb|sideb)$/, 'B'],
  [/^(l|left|sinister)$/, 'left'],
  [/^(r|right|dexter)$/, 'right'],
  [/^(tip|distal|endon|tipon)$/, 'tip'],
];
const ALL: Names = [...FURTHER, [/^(a|front|obverse|recto|dorsal|facea|sidea|plan)$/, 'A']];
const EDGE_ON = /^(profile|edge|edgeon|side|lateral|thickness)$/;
/** Words that stand beside those for a view and say nothing more. */
const BESIDE = /^(face|side|view|edge|end|on|margin|lateral|profile)$/;

/** A silhouette of this share of Face A's width over length, or less, is seen edge-on. */
const THIN = 0.65;

/**
 * Which view a photograph shows, by its file name: a word of its own for the other face, the left or the right; a word
 * for edge-on in general gives the first free of left and right. Null where the name says nothing, or says a view that
 * is not free.
 */
export function viewFromName(fileName: string, free: readonly ViewName[]): ViewName | null {
  const { view } = said(wordsOf(fileName, /([a-z0-9])([A-Z])/g), FURTHER);
  if (view === 'edge') return free.find((one) => one === 'left' || one === 'right') ?? null;
  return free.find((one) => one === view) ?? null;
}

/**
 * Which view of which piece a file is called after. A letter alone says a view only where it ends the name and is parted
 * from what stands before it: elsewhere letters number pieces, layers and trenches.
 */
export function saidByName(fileName: string): SaidName {
  const words = wordsOf(fileName, /([a-z])([A-Z])/g);
  const { view, at } = said(words, ALL);
  const whole = words.join(' ');
  const nothing: SaidName = { view: null, piece: whole, whole, byLetter: false };
  if (view === null) return nothing;
  let [from, to] = [at, at + 1];
  while (from > 0 && BESIDE.test(words[from - 1])) from -= 1;
  while (to < words.length && BESIDE.test(words[to])) to += 1;
  const byLetter = words[at].length === 1;
  if (byLetter && to < words.length) return nothing;
  return { view, piece: [...words.slice(0, from), ...words.slice(to)].join(' '), whole, byLetter };
}

/** The words of a name without its ending, in small letters; `turn` is where a capital begins one. */
function wordsOf(fileName: string, turn: RegExp): readonly string[] {
  return (
    fileName
      .normalize('NFC')
      .replace(/(?<=.)\.[^.]+$/, '')
      .replaceAll(turn, '$1 $2')
      .toLowerCase()
      .split(/[^\p{Letter}\p{Number}]+/u)
      .filter((word) => word !== '')
      .join(' ')
      // “Side B” is a face, “side” alone an edge.
      .replaceAll(/\b(face|side) (?=[ab]\b)/g, '$1')
      .split(' ')
  );
}

/** The last word that says a view, for names begin with what the piece is called. Edge-on, A and B say of which face. */
function said(
  words: readonly string[],
  names: Names,
): { readonly view: SaidView | null; readonly at: number } {
  const edgeOn = words.findLastIndex((word) => EDGE_ON.test(word));
  const at = words.findLastIndex((word) => sayings(word, names, edgeOn >= 0) !== undefined);
  if (at >= 0) return { view: sayings(words[at], names, edgeOn >= 0) ?? null, at };
  return edgeOn >= 0 ? { view: 'edge', at: edgeOn } : { view: null, at };
}

function sayings(word: string, names: Names, edgeOn: boolean): SaidView | undefined {
  return names.find(
    ([pattern, view]) => pattern.test(word) && !(edgeOn && (view === 'A' || view === 'B')),
  )?.[1];
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
