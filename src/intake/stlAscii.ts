import { GrowingPositions } from './growable.ts';
import { type RawMesh, soup } from './rawMesh.ts';
import { TextScanner } from './textScanner.ts';
import { IntakeError } from './types.ts';
import { verifyCoordinates } from './verify.ts';
import { clip } from './wording.ts';

/**
 * ASCII STL: facets of three vertices. Normals are walked over (files hold NaN there for thin facets), names may hold
 * anything, several solids in one file are read as one. Words count in either case, wherever the lines break.
 */
export function readStlAscii(bytes: Uint8Array, offset = 0): RawMesh {
  const scanner = new TextScanner(bytes, { offset });
  const positions = new GrowingPositions();
  while (scanner.skipBlankLines()) {
    expect(scanner, 'solid');
    scanner.nextLine();
    while (takeWord(scanner) === 'facet') readFacet(scanner, positions);
    expect(scanner, 'endsolid');
    scanner.nextLine();
  }
  if (positions.numVertices === 0) throw new IntakeError('empty', 'The STL file holds no triangles.');
  const all = positions.finish();
  verifyCoordinates(all, (v) => `vertex ${v % 3} of facet ${Math.floor(v / 3)}`);
  return { positions: all, triangles: soup(all.length / 9), numEmptyFaces: 0 };
}

function readFacet(scanner: TextScanner, positions: GrowingPositions): void {
  expect(scanner, 'facet');
  expect(scanner, 'normal');
  for (let k = 0; k < 3; k++) {
    if (scanner.skipBlankLines()) scanner.skipWord();
  }
  expect(scanner, 'outer');
  expect(scanner, 'loop');
  for (let k = 0; k < 3; k++) {
    expect(scanner, 'vertex');
    positions.push(coordinate(scanner), coordinate(scanner), coordinate(scanner));
  }
  expect(scanner, 'endloop');
  expect(scanner, 'endfacet');
}

/** The next word in lower case, without going behind it. */
function takeWord(scanner: TextScanner): string {
  scanner.skipBlankLines();
  const { offset } = scanner;
  const word = scanner.word().toLowerCase();
  scanner.offset = offset;
  return word;
}

function expect(scanner: TextScanner, wanted: string): void {
  if (!scanner.skipBlankLines()) {
    throw new IntakeError(
      'truncated',
      `The STL file ends at line ${scanner.line}, where “${wanted}” should follow.`,
    );
  }
  const { line } = scanner;
  const word = scanner.word();
  if (word.length === wanted.length && word.toLowerCase() === wanted) return;
  throw new IntakeError(
    'bad-line',
    `Line ${line} of the STL file has “${clip(word)}” where “${wanted}” belongs.`,
  );
}

function coordinate(scanner: TextScanner): number {
  const more = scanner.skipBlankLines();
  const value = more ? scanner.number() : Number.NaN;
  if (!Number.isNaN(value)) return value;
  throw new IntakeError(
    more ? 'bad-coordinate' : 'truncated',
    more
      ? `Line ${scanner.line} of the STL file has “${clip(scanner.word())}” where a finite coordinate belongs.`
      : `The STL file ends at line ${scanner.line}, within a facet.`,
  );
}
