import type { SpecimenRecord } from '../../../record/schema.ts';
import type { Mark, Place } from '../show/marks.ts';
import { ShownMarks } from '../show/ShownMarks.tsx';
import { axisStroke, greatestWidthStroke, lengthStroke } from '../show/strokes.ts';
import { lookOf } from '../show/useShown.ts';
import type { Desk } from './desk.ts';

interface AnswersProps {
  readonly desk: Desk;
  readonly record: SpecimenRecord;
  readonly face: 'A' | 'B';
}

/** What was computed, over what was read: axis, length, width and the tallest hump. */
export function Answers({ desk, record, face }: AnswersProps) {
  const look = lookOf(record);
  const tallest = record.humps.toSorted((a, b) => b.prominence - a.prominence)[0];
  const hump: Mark[] =
    tallest?.face === face
      ? [{ kind: 'ring', points: tallest.footprint.map(([x, y]): Place => [x, y, 0]) }]
      : [];
  const marks = [...lengthStroke(look), greatestWidthStroke(look), axisStroke(look), ...hump];
  return <ShownMarks marks={marks} project={([x, y]) => desk.toDrawing(x, y, face)} />;
}
