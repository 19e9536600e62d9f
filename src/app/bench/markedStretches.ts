import type { MarginPoint, Pair, SpecimenRecord } from '../../record/schema.ts';

/** A stretch of margin that was marked by hand, from one arc length to a greater one, mm. */
export interface MarkedStretch {
  readonly from: number;
  readonly to: number;
  readonly kind: 'break' | 'excluded';
  readonly word: string;
}

/** Breaks and what is left out. What goes round the tip, where arc length begins, comes as two parts. */
export function markedStretches({ settings, margin }: SpecimenRecord): MarkedStretch[] {
  const { breaks, excluded = [] } = settings.measure;
  const whole = margin.at(-1)?.s ?? 0;
  const marked = [
    ...breaks.map(([from, to]) => ({ from, to, kind: 'break' as const, word: 'break' })),
    ...excluded.map(({ from, to, reason }) => ({ from, to, kind: 'excluded' as const, word: reason })),
  ];
  return marked.flatMap((stretch) =>
    stretch.from <= stretch.to
      ? [stretch]
      : [
          { ...stretch, to: whole },
          { ...stretch, from: 0 },
        ],
  );
}

/** What is said of it. */
export function stretchWords({ kind, word }: MarkedStretch): string {
  return kind === 'break' ? 'Break' : `Left out: ${word}`;
}

/** Where it lies in plan, x y pairs in mm. */
export function stretchInPlan(margin: readonly MarginPoint[], { from, to }: MarkedStretch): Pair[] {
  return margin.filter(({ s }) => s >= from && s <= to).map(({ x, y }): Pair => [x, y]);
}
