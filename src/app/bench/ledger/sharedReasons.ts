import type { Measurement, MeasureRow } from '../../../measures/types.ts';

/** Measures of one family that have no value for one and the same reason. */
export interface Unmeasured {
  readonly reason: string;
  readonly rows: readonly MeasureRow[];
}

/** So many of one reason stand behind one line; fewer are as short themselves. */
const FEW = 3;

/**
 * What is told line by line, and what has no value for a reason that it shares with others of its family: a photograph
 * alone answers two measures out of three with the same sentence.
 */
export function sharedReasons(
  rows: readonly MeasureRow[],
  byId: ReadonlyMap<string, Measurement>,
): { readonly told: readonly MeasureRow[]; readonly unmeasured: readonly Unmeasured[] } {
  const reasonOf = ({ id }: MeasureRow): string | undefined => {
    const measurement = byId.get(id);
    return measurement?.value === null ? measurement.reason : undefined;
  };
  const sharing = new Map<string, MeasureRow[]>();
  for (const row of rows) {
    const reason = reasonOf(row);
    if (reason !== undefined) sharing.set(reason, [...(sharing.get(reason) ?? []), row]);
  }
  const unmeasured = [...sharing]
    .filter(([, all]) => all.length >= FEW)
    .map(([reason, all]) => ({ reason, rows: all }));
  const behind = new Set(unmeasured.flatMap((group) => group.rows));
  return { told: rows.filter((row) => !behind.has(row)), unmeasured };
}
