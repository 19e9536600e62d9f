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
    while (scanner.skipBlankLines() && scanner.takeWord('facet')) readFacet(scanner, positions);
    expect(scanner, 'endsolid');
    scanner.nextLine();
  }
  if (positions.numVertices === 0) throw new IntakeError('empty', 'The STL file holds no triangles.');
  const all = positions.finish();
  verifyCoordinates(all, (v) => `vertex ${v % 3} of facet ${Math.floor(v / 3)}`);
  return { positions: all, triangles: soup(all.length / 9), numEmptyFaces: 0 };
}

/** What follows the word “facet”. */
function readFacet(scanner: TextScanner, positions: GrowingPositions): void {
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

function expect(scanner: TextScanner, wanted: string): void {
  const more = scanner.skipBlankLines();
  if (scanner.takeWord(wanted)) return;
  throw more
    ? new IntakeError(
        'bad-line',
        `Line ${scanner.line} of the STL file has “${clip(scanner.word())}” where “${wanted}” belongs.`,
      )
    : new IntakeError(
        'truncated',
        `The STL file ends at line ${scanner.line}, where “${wanted}” should follow.`,
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
