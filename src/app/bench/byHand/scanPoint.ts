import { MM_PER_UNIT } from '../../../intake/types.ts';
import type { SpecimenRecord } from '../../../record/schema.ts';

/**
 * A place on the margin plane of the specimen frame, in millimetres on the file's own axes; of a photograph on the
 * plane of its scale.
 */
export function toScanPoint(
  { frame, source }: SpecimenRecord,
  x: number,
  y: number,
): readonly [number, number, number] {
  const m = frame.matrix;
  const unit = source.kind === 'scan' ? MM_PER_UNIT[source.unit] : 1;
  // The matrix turns and moves, and brings the file's unit to mm; turning back is its transpose.
  const [dx, dy, dz] = [x - m[12], y - m[13], -m[14]];
  const back = (column: number): number =>
    (m[4 * column] * dx + m[4 * column + 1] * dy + m[4 * column + 2] * dz) / unit;
  return [back(0), back(1), back(2)];
}
