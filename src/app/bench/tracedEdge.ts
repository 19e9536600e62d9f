import type { Pair, SpecimenRecord } from '../../record/schema.ts';
import { numbers } from './series.ts';

/** Of a photograph: the edge of a side as it was traced in an edge-on view, (z, y) pairs in mm; nothing where none was. */
export function tracedEdge({ series, frame }: SpecimenRecord, side: 'left' | 'right'): Pair[] {
  const { margin } = series;
  if (margin === undefined) return [];
  const [stations, heights] = [numbers(margin, 'station'), numbers(margin, 'z')];
  return margin.side.flatMap((one, k): Pair[] => {
    const [station, z] = [stations[k], heights[k]];
    return one === side && station !== null && z !== null ? [[z, (station / 100) * frame.length]] : [];
  });
}
