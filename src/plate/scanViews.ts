import { transformMesh } from '../geometry/basis.ts';
import { sliceMesh } from '../geometry/slices.ts';
import type { TriangleMesh, Twins } from '../geometry/types.ts';
import { readerReady, readScan } from '../intake/readScan.ts';
import type { Pair, SpecimenRecord } from '../record/schema.ts';
import type { PlateSection } from './figureSections.ts';

/** A scan as it lies in the specimen frame, mm. */
export interface ScanSurface {
  readonly mesh: TriangleMesh;
  readonly twins: Twins;
  /** Extent along y. */
  readonly length: number;
}

/**
 * The surface behind a record, from the bytes of its scan: read as it was then and laid by the record's own matrix, so that
 * nothing is traced again. Throws IntakeError.
 */
export async function surfaceOf(bytes: Uint8Array, record: SpecimenRecord): Promise<ScanSurface> {
  const { source, frame, settings } = record;
  if (source.kind !== 'scan') throw new Error('only a scan has a surface');
  await readerReady;
  const { mesh, twins } = readScan(bytes, settings.scan);
  // The record's matrix starts at the file's unit, what was read is in millimetres already.
  const matrix = Float64Array.from(frame.matrix, (value, i) =>
    i < 12 ? value / source.scale.mmPerUnit : value,
  );
  return { mesh: transformMesh(mesh, matrix), twins, length: frame.length };
}

/** Loops of fewer points enclose nothing. */
const LEAST_POINTS = 3;

/** Sections at stations (percent of length from the base) that a record does not hold; none where the surface is not met. */
export function sectionsAt(
  { mesh, twins, length }: ScanSurface,
  stations: readonly number[],
): PlateSection[] {
  const sorted = stations.toSorted((a, b) => a - b);
  const levels = Float64Array.from(sorted, (station) => (station / 100) * length);
  return sliceMesh(mesh, twins, levels, 1).flatMap(({ loops }, i): PlateSection[] => {
    const rings = loops
      .map(({ points }) => pairs(points))
      .filter((ring) => ring.length >= LEAST_POINTS)
      .sort((a, b) => areaOf(b) - areaOf(a));
    if (rings.length === 0) return [];
    const [points, ...more] = rings;
    return [{ station: sorted[i], at: 'station', y: levels[i], points, more }];
  });
}

function pairs(points: ArrayLike<number>): Pair[] {
  return Array.from({ length: points.length / 2 }, (_, i): Pair => [points[2 * i], points[2 * i + 1]]);
}

/** Unsigned. */
function areaOf(ring: readonly Pair[]): number {
  const twice = ring.reduce((sum, [x, z], i) => {
    const [nextX, nextZ] = ring[(i + 1) % ring.length];
    return sum + x * nextZ - nextX * z;
  }, 0);
  return Math.abs(twice) / 2;
}
