import { describe, expect, test } from 'vitest';
import { pack, unpack } from '../../workers/packing.ts';

const value = {
  none: Number.NaN,
  missing: undefined,
  rings: [Float32Array.of(1.5, Number.NaN, -3), [Float64Array.of(0.1)], new Float32Array()],
  triangles: Uint32Array.of(7, 4_000_000_000),
  picture: { image: new Blob(['as drawn'], { type: 'image/png' }), width: 3 },
  scale: null,
};

describe('what is drawn, packed', () => {
  test('comes back as it was, arrays and pictures too', async () => {
    const packed = pack(value);
    // As a database would give it back.
    const back = (await unpack(structuredClone(packed))) as typeof value;
    const { image } = back.picture;
    expect(back).toEqual({ ...value, picture: { ...value.picture, image } });
    expect([image.type, await image.text()]).toEqual(['image/png', 'as drawn']);
  });

  test('is a view of the array alone, not of all that lies in its buffer', async () => {
    const inside = new Float32Array(1000).subarray(10, 12);
    expect(pack({ inside }).bytes.size).toBe(8);
  });

  test('with bytes missing is refused', async () => {
    const packed = pack(value);
    await expect(unpack({ ...packed, bytes: packed.bytes.slice(0, 9) })).rejects.toThrow('missing');
    expect(() => pack({ bytes: new Uint8Array(3) })).toThrow(TypeError);
  });
});
