import type { Edit, Piece } from '../state/pieces.ts';
import type { SettingsHistory } from '../state/settingsHistory.ts';
import { settingsKey } from './measured.ts';

/** What a person decided and wrote of a piece. */
export type Facts = Pick<Piece, 'title' | 'history' | 'catalogue' | 'hand'>;

/**
 * Two tellings of one piece as one: of each fact the telling that differs from how the piece began (`begun`). Gives what
 * `here` has to take over, which may be nothing; null where both differ, so that one of them would be lost.
 */
export function united(here: Facts, there: Facts, begun: Omit<Facts, 'history'>): Edit | null {
  const title = newer(here.title, there.title, begun.title);
  const catalogue = newerFacts(here.catalogue, there.catalogue, begun.catalogue);
  const hand = newerFacts(here.hand, there.hand, begun.hand);
  const history = newerHistory(here.history, there.history);
  if (title === null || catalogue === null || hand === null || history === null) return null;
  return {
    ...(title === here.title ? {} : { title }),
    ...(same(catalogue, here.catalogue) ? {} : { catalogue }),
    ...(same(hand, here.hand) ? {} : { hand }),
    ...(history === here.history ? {} : { history }),
  };
}

/** One picture may show several pieces: what a piece began with tells which of them it is. */
export function beganAlike(here: SettingsHistory, there: SettingsHistory): boolean {
  return settingsKey(firstOf(here)) === settingsKey(firstOf(there));
}

const firstOf = ({ past, present }: SettingsHistory) => past[0] ?? present;

/** The one that is not as it began; null where neither is and they differ. Undefined: not said. */
function newer<T>(here: T, there: T, begun: T): T | null {
  if (here === there || there === begun) return here;
  return here === begun ? there : null;
}

function newerFacts<T extends object>(here: T, there: T, begun: T): T | null {
  const said = new Map<string, unknown>(Object.entries(here));
  const [theirs, first] = [there, begun].map((facts) => new Map<string, unknown>(Object.entries(facts)));
  for (const key of new Set([...theirs.keys(), ...first.keys()])) {
    const fact = newer(said.get(key), theirs.get(key), first.get(key));
    if (fact === null) return null;
    if (fact === undefined) said.delete(key);
    else said.set(key, fact);
  }
  return Object.fromEntries(said) as T;
}

/** Steps that were taken and undone do not count: what was settled on does. */
function newerHistory(here: SettingsHistory, there: SettingsHistory): SettingsHistory | null {
  const [mine, theirs] = [here, there].map(({ present }) => settingsKey(present));
  const first = settingsKey(firstOf(here));
  if (mine === theirs || theirs === first) return here;
  return mine === first ? there : null;
}

function same(a: object, b: object): boolean {
  const flat = (facts: object) =>
    JSON.stringify(Object.entries(facts).toSorted(([x], [y]) => (x < y ? -1 : 1)));
  return flat(a) === flat(b);
}
