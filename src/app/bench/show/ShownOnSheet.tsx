import type { SpecimenRecord } from '../../../record/schema.ts';
import type { SheetLayout } from '../sheet/layout.ts';
import type { Mark } from './marks.ts';
import { ShownMarks } from './ShownMarks.tsx';
import { useShown } from './useShown.ts';

interface ShownOnSheetProps {
  readonly record: SpecimenRecord;
  readonly layout: SheetLayout;
  readonly face: 'A' | 'B';
}

/** What a measure comes from, on the plan and on the edge-on view. */
export function ShownOnSheet({ record, layout, face }: ShownOnSheetProps) {
  const shown = useShown(record);
  if (shown === null) return null;
  const { planX, profileX, scale, toY } = layout;
  const sign = face === 'A' ? 1 : -1;
  return (
    <>
      <ShownMarks
        marks={shown.marks.filter(isSeenInPlan)}
        project={([x, y]) => [planX + sign * x * scale, toY(y)]}
      />
      {profileX !== null && (
        <ShownMarks
          marks={shown.marks.filter(isSeenEdgeOn)}
          project={([, y, z]) => [profileX + z * scale, toY(y)]}
        />
      )}
    </>
  );
}

const isStroke = ({ kind }: Mark): boolean => kind === 'dimension' || kind === 'dot';

/** What stands upright on the axis would be a line on it in plan, and say nothing. */
function isSeenInPlan(mark: Mark): boolean {
  if (mark.edgeOn) return false;
  const [[first]] = mark.points;
  return isStroke(mark) || mark.points.some(([x]) => x !== first) || mark.points.every(([, , z]) => z === 0);
}

/** What lies in the margin plane would be a line on it seen edge-on; a slanting stroke would be seen shortened. */
function isSeenEdgeOn(mark: Mark): boolean {
  if (mark.points.some(([, , z]) => z !== 0)) return true;
  const [[x, y]] = mark.points;
  return isStroke(mark) && (mark.points.every(([at]) => at === x) || mark.points.every(([, at]) => at === y));
}
