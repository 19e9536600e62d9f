import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { expect, test } from 'vitest';
import {
  type PackedParts,
  packedRecord,
  partsOf,
  recordOfParts,
  whenPacked,
} from '../../src/app/state/packedRecord.ts';
import { createPieces } from '../../src/app/state/pieces.ts';
import { toRecord } from '../../src/record/toRecord.ts';
import { writeRecord } from '../../src/record/write.ts';
import type { MeasuredPiece } from '../../workers/messages.ts';
import { makeParts } from '../record/fixture.ts';

const record = toRecord(makeParts());

test('a packed record is the same record, before and after, read, copied, cloned and written', async () => {
  const packed = packedRecord(record);
  const same = (): void => {
    expect(packed.outline).toEqual(record.outline);
    expect({ ...packed }).toEqual(record);
    expect(structuredClone(packed)).toEqual(record);
    expect(writeRecord(packed)).toBe(writeRecord(record));
    expect(Object.keys(packed)).toEqual(Object.keys(record));
  };
  same();
  expect(packed.margin).toBe(record.margin);
  await whenPacked(packed);
  same();
  expect(packedRecord(packed)).toBe(packed);
  const parts = await partsOf(packed);
  const again = recordOfParts(structuredClone(parts as PackedParts));
  expect(writeRecord(again)).toBe(writeRecord(record));
  expect(Object.keys(again)).toEqual(Object.keys(record));
  expect(packedRecord(again)).toBe(again);
  expect(await partsOf(again)).toEqual(parts);
});

test('what is packed is let go', async () => {
  setFlagsFromString('--expose-gc');
  const collectGarbage: () => void = runInNewContext('gc');
  const makeBoth = () => {
    const own = toRecord(makeParts());
    return { packed: packedRecord(own), margin: new WeakRef(own.margin), whole: new WeakRef(own) };
  };
  const { packed, margin, whole } = makeBoth();
  await whenPacked(packed);
  await new Promise((resolve) => setTimeout(resolve));
  collectGarbage();
  expect(whole.deref()).toBeUndefined();
  expect(margin.deref()).toBeUndefined();
  expect(packed.margin).toEqual(record.margin);
});

test('the drawer keeps of a measured piece its record, packed, and its pictures; not what only the bench draws', async () => {
  const relief = { image: new Blob(), x: 0, y: 0, width: 1, height: 1 };
  const pieces = createPieces([]);
  const [{ id }] = pieces.add([new File(['a'], 'a.ply')]);
  const seen: MeasuredPiece = { record, reliefA: relief, drawn: { glow: new Float32Array(9) } as never };
  pieces.update(id, { seen });
  const kept = pieces.find(id)?.seen;
  expect(kept?.drawn).toBeUndefined();
  expect(kept?.reliefA).toBe(relief);
  expect(kept?.record).not.toBe(record);
  expect(kept?.record).toEqual(record);
});
