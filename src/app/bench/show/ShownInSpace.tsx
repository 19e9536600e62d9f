import { useMemo } from 'react';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { Line } from '../stage/Lines.tsx';
import type { Mark } from './marks.ts';
import { useShown } from './useShown.ts';

const COLOUR = '#c03a0c';
const WIDTHS: Readonly<Record<Mark['kind'], number>> = {
  dimension: 3.5,
  line: 3,
  ring: 2.5,
  guide: 1.4,
  dot: 4,
};
/** Half the size of the cross that stands for a single place, as a share of the length. */
const CROSS = 0.014;

/** What a measure comes from, in three dimensions and over everything: it may run through the stone. */
export function ShownInSpace({ record }: { record: SpecimenRecord }) {
  const shown = useShown(record);
  const lines = useMemo(
    () => (shown?.marks ?? []).flatMap((mark) => linesOf(mark, CROSS * record.frame.length)),
    [shown, record],
  );
  return lines.map(({ kind, points }, index) => (
    // biome-ignore lint/suspicious/noArrayIndexKey: strokes have no name but their place
    <Line key={index} points={points} color={COLOUR} width={WIDTHS[kind]} closed={kind === 'ring'} onTop />
  ));
}

function linesOf({ kind, points }: Mark, size: number): { kind: Mark['kind']; points: Float32Array }[] {
  if (kind !== 'dot') return [{ kind, points: Float32Array.from(points.flat()) }];
  const [[x, y, z]] = points;
  return [
    [x - size, y, z, x + size, y, z],
    [x, y - size, z, x, y + size, z],
    [x, y, z - size, x, y, z + size],
  ].map((ends) => ({ kind, points: Float32Array.from(ends) }));
}
