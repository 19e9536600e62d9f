import { describe, expect, test } from 'vitest';
import { alteredAsText } from '../../src/intake/damage.ts';
import { refusal } from './support/read.ts';
import { ellipsoid } from './support/shapes.ts';
import { writeGlb } from './support/writeGltf.ts';
import { writePlyBinary } from './support/writePly.ts';
import { writeStlBinary } from './support/writeStl.ts';

const mesh = ellipsoid(30, 40, [28, 60, 11]);
const FILES = [
  ['PLY', writePlyBinary(mesh)],
  ['STL', writeStlBinary(mesh)],
  ['GLB', writeGlb(mesh)],
] as const;

/** As transfers in text mode do, and programs that take every file for text. */
const WAYS: readonly (readonly [string, (bytes: Uint8Array) => Uint8Array, RegExp])[] = [
  [
    'sent as text',
    (bytes) => latin1(Buffer.from(bytes).toString('latin1').replaceAll('\n', '\r\n')),
    /carriage return/,
  ],
  ['saved as text', (bytes) => Buffer.from(Buffer.from(bytes).toString('latin1'), 'utf8'), /anew as UTF-8/],
  [
    'saved as text, unknown bytes replaced',
    (bytes) => Buffer.from(Buffer.from(bytes).toString('utf8'), 'utf8'),
    /were lost/,
  ],
];

const latin1 = (text: string): Uint8Array => Buffer.from(text, 'latin1');

describe('a binary file that was taken for text', () => {
  test.each(
    FILES.flatMap(([name, bytes]) =>
      WAYS.map(([way, alter, says]) => [name, way, alter(bytes), says] as const),
    ),
  )('%s, %s: it is said what was done to it, in one sentence', (_, __, bytes, says) => {
    const { code, message } = refusal(bytes);
    expect(code).toBe('altered-as-text');
    expect(message).toMatch(says);
    expect(message).toMatch(/^[A-Z“][^\n]*\.$/);
    expect(message.length).toBeLessThan(300);
  });

  test.each(FILES)('a sound %s bears none of the traces', (_, bytes) => {
    expect(alteredAsText(bytes, 400)).toBeUndefined();
  });
});

test('a scan whose second half is lost in zeros: what had no area is told', async () => {
  const { readScan } = await import('../../src/intake/readScan.ts');
  const bytes = writeStlBinary(mesh);
  bytes.fill(0, bytes.length >> 1);
  const codes = readScan(bytes, { holeLimit: 0.1, unit: 'mm' }).warnings.map(({ code }) => code);
  expect(codes).toEqual(expect.arrayContaining(['degenerate-dropped', 'open-surface']));
});
