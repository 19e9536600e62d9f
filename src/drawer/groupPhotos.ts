import { VIEWS, type ViewName } from '../trace/types.ts';
import { type SaidName, type SaidView, saidByName } from './viewNames.ts';

/** The photograph of Face A, or the only one of a piece, and further ones. */
export interface PhotoGroup {
  readonly file: string;
  readonly views: readonly { readonly view: ViewName; readonly file: string }[];
}

export interface GroupedPhotos {
  readonly pieces: readonly PhotoGroup[];
  /** Photographs of one piece that can't be measured together, and why: a sentence. */
  readonly refused: readonly { readonly files: readonly string[]; readonly why: string }[];
}

interface Named extends SaidName {
  readonly file: string;
}

/** Letters that number pieces: where one ends a name, A, B, L and R in its stead do so too. */
const NUMBERING = /^(?:(.*) )?[c-km-qs-z]$/;

const WORDS: Readonly<Record<SaidView, string>> = {
  A: 'Face A',
  B: 'Face B',
  left: 'the left edge',
  right: 'the right edge',
  tip: 'the tip',
  edge: 'an edge',
};

/**
 * Puts photographs together that show one piece by their names: in one folder, called alike but for the word or letter for the
 * view. `files` are paths with `/` between folders, in any order. What says no view is Face A; what has no other beside it is a
 * piece of its own, unless its name says that it shows no face.
 */
export function groupPhotos(files: readonly string[]): GroupedPhotos {
  const groups = new Map<string, Named[]>();
  for (const one of withNumberingLetters(files.toSorted().map(named))) {
    const key = folderOf(one.file) + one.piece;
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [one]);
    else group.push(one);
  }
  const parts = [...groups.values()].map(pieceOf);
  return { pieces: parts.flatMap(({ pieces }) => pieces), refused: parts.flatMap(({ refused }) => refused) };
}

/** Where letters number pieces under one name, none of them says a view. */
function withNumberingLetters(all: readonly Named[]): readonly Named[] {
  const numbered = new Set(
    all.flatMap(({ file, view, whole }) => {
      const found = view === null ? NUMBERING.exec(whole) : null;
      return found === null ? [] : [folderOf(file) + (found[1] ?? '')];
    }),
  );
  return all.map((one) =>
    one.byLetter && numbered.has(folderOf(one.file) + one.piece)
      ? { ...one, view: null, piece: one.whole }
      : one,
  );
}

/** What becomes of photographs that are called alike. */
function pieceOf(group: readonly Named[]): GroupedPhotos {
  const called = (view: SaidView | null): readonly Named[] => group.filter((one) => one.view === view);
  const single = ({ file }: Named): PhotoGroup => ({ file, views: [] });
  const told = called('A');
  const faces = told.length > 0 ? told : called(null);
  // One that says nothing beside one that says Face A is another photograph.
  const besides = told.length > 0 ? called(null).map(single) : [];
  const further = group.filter(({ view }) => view !== 'A' && view !== null);
  const onlyB = faces.length === 0 && further.every(({ view }) => view === 'B');
  if (further.length === 0 || onlyB) return { pieces: group.map(single), refused: [] };
  const views = laidOut(further);
  const why = faces.length === 0 ? faceless(further) : twice(faces, views);
  if (why !== undefined) {
    return { pieces: besides, refused: [{ files: [...faces, ...further].map(({ file }) => file), why }] };
  }
  const [{ file }] = faces;
  return {
    pieces: [{ file, views: views.map(({ view, found: [one] }) => ({ view, file: one.file })) }, ...besides],
    refused: [],
  };
}

interface LaidOut {
  readonly view: ViewName;
  readonly found: readonly Named[];
}

/** The photographs of each view; an edge without a side takes one that is free, or the left. */
function laidOut(further: readonly Named[]): readonly LaidOut[] {
  const found = new Map(VIEWS.map((view) => [view, further.filter((one) => one.view === view)]));
  for (const edge of further.filter(({ view }) => view === 'edge')) {
    const side = (['left', 'right'] as const).find((view) => found.get(view)?.length === 0) ?? 'left';
    found.get(side)?.push(edge);
  }
  return [...found].flatMap(([view, all]) => (all.length === 0 ? [] : [{ view, found: all }]));
}

function faceless(further: readonly Named[]): string {
  const shown = further.map(({ file, view }) => `${nameOf(file)} shows ${WORDS[view ?? 'A']}`);
  return `By ${further.length === 1 ? 'its name' : 'their names'} ${list(shown)}, and no photograph of Face A is called alike.`;
}

function twice(faces: readonly Named[], views: readonly LaidOut[]): string | undefined {
  const shared = [{ view: 'A' as const, found: faces }, ...views].find(({ found }) => found.length > 1);
  if (shared === undefined) return undefined;
  const names = list(shared.found.map(({ file }) => nameOf(file)));
  return `By their names ${names} ${shared.found.length === 2 ? 'both' : 'all'} show ${WORDS[shared.view]} of one piece.`;
}

function named(file: string): Named {
  return { file, ...saidByName(nameOf(file)) };
}

function nameOf(file: string): string {
  return file.slice(folderOf(file).length);
}

/** With the slash at its end; empty where there is none. */
function folderOf(file: string): string {
  return file.slice(0, file.lastIndexOf('/') + 1);
}

function list(words: readonly string[]): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}
