import { type Collection, UNSAID } from '../../drawer/collection.ts';
import type { Labels } from '../../drawer/handLabels.ts';
import type { Grouping } from '../../drawer/lean.ts';
import { type GroupBy, tableGrouping } from './state.ts';

/** Groups that get a colour and a mark of their own; what is left falls into one more. */
export const MOST_GROUPS = 6;

export interface PieceGroup {
  readonly name: string;
  /** Places in the collection. */
  readonly which: Int32Array;
}

/** The pieces told into groups, largest first; beyond the sixth all are `others`. */
export function groupsOf(
  collection: Collection,
  by: GroupBy,
  picked: readonly string[],
  tables: readonly Labels[] = [],
): PieceGroup[] {
  const all = Int32Array.from(collection.keys, (_, i) => i);
  if (by === 'none') return [{ name: 'All pieces', which: all }];
  const labels = labelsOf(collection, by, picked, tables);
  if (labels === undefined) return [{ name: 'All pieces', which: all }];
  const found = new Map<string, number[]>();
  labels.forEach((label, i) => {
    const own = found.get(label);
    if (own === undefined) found.set(label, [i]);
    else own.push(i);
  });
  const ordered = [...found].sort(([, a], [, b]) => b.length - a.length);
  const own = ordered.slice(0, ordered.length > MOST_GROUPS ? MOST_GROUPS - 1 : MOST_GROUPS);
  const rest = ordered.slice(own.length).flatMap(([, which]) => which);
  const groups = rest.length > 0 ? [...own, ['others', rest] as const] : own;
  return groups.map(([name, which]) => ({ name, which: Int32Array.from(which) }));
}

/** What each piece is called by; undefined where nothing is said of any. */
function labelsOf(
  { keys, groups, numbers }: Collection,
  by: Exclude<GroupBy, 'none'>,
  picked: readonly string[],
  tables: readonly Labels[],
): readonly string[] | undefined {
  if (by === 'picked') return keys.map((key) => (picked.includes(key) ? 'Picked' : 'Not picked'));
  const table = tables.find(({ name }) => tableGrouping(name) === by);
  if (table !== undefined) return numbers.map((number) => table.of.get(number) ?? UNSAID);
  return groups[by as Grouping];
}
