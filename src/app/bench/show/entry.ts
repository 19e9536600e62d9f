import type { Look } from './look.ts';
import type { Shown } from './marks.ts';

/** One line of the table from measures to geometry: whole ids, with what varies in them as groups. */
export interface Entry {
  readonly ids: RegExp;
  /** Null where the piece has no such place. */
  readonly show: (look: Look, groups: readonly string[]) => Shown | null;
}

export const entry = (ids: RegExp, show: Entry['show']): Entry => ({ ids, show });
