import type { PhotoScale } from '../../../intake/photoTypes.ts';
import { printNumber } from '../../words/values.ts';

/** What the scale was read from and how well it is known, in one line. */
export function scaleWords({ pxPerMm, relative, evidence }: PhotoScale): string {
  const known = `${printNumber(pxPerMm, 2)} pixels in a millimetre, ± ${printNumber(100 * relative, 2)}\u202f%`;
  switch (evidence.kind) {
    case 'mat':
      return `${known}, from ${evidence.markers.length} markers of the ${evidence.paper} scale mat.`;
    case 'bar':
      return `${known}, from a bar of ${evidence.blocks} blocks of ${printNumber(evidence.block, 1)}\u202fmm.`;
    case 'points':
      return `${known}, from two points ${printNumber(evidence.length, 1)}\u202fmm apart.`;
    case 'tag':
      return `${known}, from the resolution in the file (${evidence.source}).`;
    default:
      return `${known}, as typed.`;
  }
}
