import { useMemo } from 'react';
import type { MeasureRow } from '../../../measures/types.ts';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { useBench, usePieces } from '../../workbench.ts';
import { type Look, lookAt } from './look.ts';
import type { Shown } from './marks.ts';
import { showMeasure } from './table.ts';

/** One for each record, however many views ask. */
const looks = new WeakMap<SpecimenRecord, Look>();

export function lookOf(record: SpecimenRecord): Look {
  const known = looks.get(record);
  if (known !== undefined) return known;
  const made = lookAt(record);
  looks.set(record, made);
  return made;
}

/** What is drawn on the piece now, with the measure that it belongs to; null for nothing. */
export function useShown(record: SpecimenRecord | undefined): (Shown & { readonly id: string }) | null {
  const id = useBench((state) => state.shown);
  return useMemo(() => {
    const shown = id === null || record === undefined ? null : showMeasure(lookOf(record), id);
    return shown === null || id === null ? null : { ...shown, id };
  }, [id, record]);
}

/** The catalogue's row of a measure. */
export function useMeasureRow(id: string | null): MeasureRow | undefined {
  return usePieces(({ families }) =>
    id === null ? undefined : families.flatMap(({ rows }) => rows).find((row) => row.id === id),
  );
}
