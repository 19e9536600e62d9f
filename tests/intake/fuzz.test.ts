import { describe, expect, test } from 'vitest';
import { readScan } from '../../src/intake/readScan.ts';
import { DEFAULT_SCAN_SETTINGS } from '../../src/intake/settings.ts';
import { IntakeError } from '../../src/intake/types.ts';
import { mutate, randomOf } from './support/mutate.ts';
import { expectSound } from './support/read.ts';
import { ellipsoid, facesOf } from './support/shapes.ts';
import { writeGlb, writeGltf } from './support/writeGltf.ts';
import { writeObj } from './support/writeObj.ts';
import { writePly, writePlyBinary } from './support/writePly.ts';
import { writeStlAscii, writeStlBinary } from './support/writeStl.ts';

const mesh = ellipsoid(4, 6, [28, 60, 11]);
const faces = facesOf(mesh);

const FILES: readonly (readonly [name: string, bytes: Uint8Array])[] = [
  ['PLY, binary', writePlyBinary(mesh)],
  [
    'PLY, binary, big-endian with lists and colours',
    writePly(mesh.positions, faces, {
      encoding: 'binary_big_endian',
      countType: 'int',
      faceAfter: ['list', 'uchar'],
      extraElement: true,
    }),
  ],
  ['PLY, ascii', writePly(mesh.positions, faces, { encoding: 'ascii', after: ['uchar'] })],
  ['STL, binary', writeStlBinary(mesh)],
  ['STL, ascii', writeStlAscii(mesh)],
  ['OBJ', writeObj(mesh.positions, faces, { corner: 'v/t/n', negative: true, continued: true })],
  ['GLB', writeGlb(mesh)],
  ['glTF', writeGltf(mesh)],
];

const MUTANTS = 250;
/** A hang shows as a time far beyond what so small a file takes. */
const LONGEST_MS = 5000;

/** A sound scan or one sentence, soon; anything else throws. */
function survive(bytes: Uint8Array): 'read' | 'refused' {
  const start = performance.now();
  let outcome: 'read' | 'refused' = 'refused';
  try {
    expectSound(readScan(bytes, DEFAULT_SCAN_SETTINGS));
    outcome = 'read';
  } catch (error) {
    if (!(error instanceof IntakeError)) throw error;
    if (!/^[A-Z“].*\.$/.test(error.message)) throw new Error(`not a sentence: ${error.message}`);
  }
  if (performance.now() - start > LONGEST_MS) throw new Error('too slow');
  return outcome;
}

describe.each(FILES)('%s', (_, bytes) => {
  test('cut off at every byte of its beginning, and at places beyond', () => {
    for (let length = 0; length < Math.min(bytes.length, 600); length++) survive(bytes.subarray(0, length));
    for (let length = 600; length < bytes.length; length += 37) survive(bytes.subarray(0, length));
  });

  test(`${MUTANTS} mutants, seed 20`, () => {
    const random = randomOf(20);
    const outcomes = { read: 0, refused: 0 };
    for (let k = 0; k < MUTANTS; k++) {
      const mutant = mutate(bytes, random);
      try {
        outcomes[survive(mutant)]++;
      } catch (error) {
        throw new Error(`mutant ${k}: ${error instanceof Error ? error.message : error}`, { cause: error });
      }
    }
    // Both ends must be reached, or the mutants were too tame or too wild to tell anything.
    expect(outcomes.read).toBeGreaterThan(0);
    expect(outcomes.refused).toBeGreaterThan(MUTANTS / 10);
  });
});

test('bytes without any sense, seed 21', () => {
  const random = randomOf(21);
  for (let k = 0; k < 300; k++) {
    const bytes = Uint8Array.from({ length: Math.floor(random() * 3000) }, () => random() * 256);
    const start = ['ply\n', 'solid ', 'glTF\x02\0\0\0', 'v 0 0 0\n', '{', ''][k % 6];
    bytes.set(new TextEncoder().encode(start).subarray(0, bytes.length));
    expect(survive(bytes)).toBe('refused');
  }
});
