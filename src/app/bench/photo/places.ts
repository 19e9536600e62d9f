import type { PhotoScale } from '../../../intake/photoTypes.ts';
import { imageToPlane, planeToImage } from '../../../intake/scaleMap.ts';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { toScanPoint } from '../byHand/scanPoint.ts';

export type Spot = readonly [x: number, y: number];

/** A place of the specimen frame, mm → the photograph, pixels. */
export function toPixel(record: SpecimenRecord, scale: PhotoScale, x: number, y: number): Spot {
  const [px, py] = toScanPoint(record, x, y);
  const [u, v] = planeToImage(scale, Float64Array.of(px, py), marginHeight(record));
  return [u, v];
}

/** A pixel of the photograph → the plane of its scale at the height of the margin, mm: where placed points are told. */
export function toPlacePoint(
  record: SpecimenRecord,
  scale: PhotoScale,
  [u, v]: Spot,
): readonly [number, number, number] {
  const [x, y] = imageToPlane(scale, Float64Array.of(u, v), marginHeight(record));
  return [x, y, 0];
}

/** Station under a pixel of the photograph, percent of the length; null beside the piece. */
export function stationAt(record: SpecimenRecord, scale: PhotoScale, spot: Spot): number | null {
  const [x, y] = toPlacePoint(record, scale, spot);
  const { matrix: m, length } = record.frame;
  const across = m[0] * x + m[4] * y + m[12];
  const along = m[1] * x + m[5] * y + m[13];
  const reach = Math.max(...record.outline.outer.map(([at]) => Math.abs(at)));
  if (along < 0 || along > length || Math.abs(across) > reach) return null;
  return (100 * along) / length;
}

function marginHeight({ source }: SpecimenRecord): number {
  return source.kind === 'photo' ? source.scale.marginHeight.value : 0;
}
