import { expect, test } from 'vitest';
import { measure } from '../../src/measures/measure.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/measures/settings.ts';
import { DEFAULT_TRACE_SETTINGS } from '../../src/trace/settings.ts';
import { traceScan } from '../../src/trace/traceScan.ts';
import { humpCase } from '../accuracy/cases.ts';
import { toScan } from '../accuracy/toScan.ts';
import { makePiece } from '../pieces/piece.ts';

/** Of each piece one hump stands on a swell that its footprint runs out over, at the foot of which the face goes on falling. */
test.each(['lanceolate', 'cordate'] as const)(
  'small lumps are found on whatever swell they stand, and the swell is none (%s piece, seed 904)',
  (shape) => {
    const { spec } = humpCase(shape, 904);
    const { mesh, truth } = makePiece({ ...spec, triangles: 60_000 });
    const { humps } = measure(traceScan(toScan(mesh), DEFAULT_TRACE_SETTINGS), DEFAULT_MEASURE_SETTINGS);
    const exact = truth.axes.mirror.humps;
    expect(exact).toHaveLength(4);
    expect(humps).toHaveLength(exact.length);
    for (const { face, x, y, radius } of exact) {
      const near = humps.filter(
        (one) => one.face === face && Math.hypot(one.peak[0] - x, one.peak[1] - y) < radius,
      );
      expect(near).toHaveLength(1);
    }
  },
);
