import { CALIPER_DEPTHS } from '../measures/edgeAngles.ts';
import { number, type TableColumn, word } from './tableColumns.ts';

const STATION = number('station', 'Station', '0 at the base, 100 at the tip.', 'percent');
const ARC = number('arc', 'Arc length', 'From the tip, clockwise seen on Face A.', 'mm');
const SIDE = word('side', 'Side', 'left, right, tip or base.');

/**
 * The columns of every series of a record, in its order. Scans have all of them, photographs some; a drawer of either has the
 * same tables.
 */
export const SERIES: Readonly<
  Record<string, { readonly title: string; readonly columns: readonly TableColumn[] }>
> = {
  fourier: {
    title: 'Elliptic Fourier coefficients, free of place, size, turn and start',
    columns: [
      { name: 'harmonic', type: 'integer', title: 'Harmonic', description: 'From 1.' },
      number('a', 'a', 'x, cosine.'),
      number('b', 'b', 'x, sine.'),
      number('c', 'c', 'y, cosine.'),
      number('d', 'd', 'y, sine.'),
    ],
  },
  halfWidths: {
    title: 'Half-widths from the length axis',
    columns: [
      STATION,
      number('left', 'Left', 'To the outermost left margin.', 'mm'),
      number('right', 'Right', 'To the outermost right margin.', 'mm'),
      number('difference', 'Difference', 'Right less left; empty along a marked break.', 'mm'),
    ],
  },
  thickness: {
    title: 'Thickness along the piece',
    columns: [
      STATION,
      number('greatest', 'Greatest thickness', 'Across the section.', 'mm'),
      number('midline', 'Thickness on the midline', 'Empty where no surface was seen.', 'mm'),
      number('widthThickness', 'Width over greatest thickness', 'A pure number.'),
      number('area', 'Area of the section', 'Empty where no surface was seen.', 'mm2'),
    ],
  },
  margin: {
    title: 'Margin line seen edge-on',
    columns: [
      ARC,
      SIDE,
      STATION,
      number('z', 'Height', 'Above the margin plane.', 'mm'),
      number('residual', 'Residual', 'Height above the straight line fitted to that side.', 'mm'),
    ],
  },
  edgeAngle: {
    title: 'Edge angles along the margin',
    columns: [
      ARC,
      SIDE,
      STATION,
      number('x', 'x', 'To the right on Face A.', 'mm'),
      number('y', 'y', 'From base to tip.', 'mm'),
      number('z', 'z', 'Above the margin plane.', 'mm'),
      number('angle', 'Edge angle', 'Between lines fitted to both faces.', 'deg'),
      ...CALIPER_DEPTHS.map((depth) =>
        number(`caliper${depth}`, `Caliper angle at ${depth} mm`, 'From the thickness at that depth.', 'deg'),
      ),
      {
        name: 'valid',
        type: 'integer',
        title: 'Valid',
        description: '1 where there is a fitted angle, else 0.',
      },
      word('reason', 'Reason', 'Why there is no fitted angle.'),
    ],
  },
};
