import { expect, test } from 'vitest';
import { measureScan } from '../../src/record/measureScan.ts';
import { readRecord } from '../../src/record/read.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { writeRecord } from '../../src/record/write.ts';
import { writePlyBinary } from '../intake/support/writePly.ts';
import { makePiece } from '../pieces/piece.ts';

const MAIN = ['length', 'width', 'thickness', 'area', 'volume', 'edge.angle.mean', 'symmetry.overlap'];

test('numbers of a thinned scan agree with those of the whole within their uncertainty, and the record says how', async () => {
  const { mesh } = makePiece({
    outline: { shape: 'lanceolate', length: 90, width: 42, waviness: 0.5, bow: 1.5 },
    seed: 5,
    triangles: 40_000,
    faceA: { height: 7, angle: 28 },
    faceB: { height: 4.5, angle: 20 },
    scars: { count: 30, depth: 0.4 },
    noise: { sigma: 0.01, direction: 'normal' },
  });
  const bytes = writePlyBinary(mesh);
  const measured = async (scan: object) =>
    (
      await measureScan(bytes, 'x.ply', {
        ...DEFAULT_SETTINGS,
        scan: { holeLimit: 0.1, unit: 'mm', ...scan },
      })
    ).record;
  const whole = await measured({});
  const thin = readRecord(writeRecord(await measured({ thin: 12_000 })));
  if (thin.source.kind !== 'scan') throw new Error('a scan stays one');
  expect(thin.source.thinned?.from).toBe(mesh.triangles.length / 3);
  expect(thin.source.triangles).toBeLessThanOrEqual(12_000);
  expect(thin.settings.scan.thin).toBe(12_000);
  expect(thin.warnings.map(({ code }) => code)).toContain('thinned');
  const far = thin.measurements.flatMap(({ id, value, u }, k) => {
    const other = whole.measurements[k].value;
    const isNumber = typeof value === 'number' && typeof other === 'number' && u !== undefined && u > 0;
    return isNumber ? [{ id, z: Math.abs(value - other) / u }] : [];
  });
  for (const { id, z } of far) if (MAIN.includes(id)) expect(z, id).toBeLessThan(2);
  expect(far.filter(({ z }) => z <= 2).length / far.length).toBeGreaterThan(0.95);
  const length = (record: typeof thin) => record.measurements.find(({ id }) => id === 'length')?.u ?? 0;
  expect(length(thin)).toBeGreaterThan(length(whole));
});
