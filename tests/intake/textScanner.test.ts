import fc from 'fast-check';
import { expect, test } from 'vitest';
import { TextScanner } from '../../src/intake/textScanner.ts';

const scan = (content: string, continues = false) =>
  new TextScanner(new TextEncoder().encode(content), { continues });

/** The language's own reading of a number is the oracle. */
function expectNumber(written: string): void {
  const scanner = scan(`${written} `);
  expect(scanner.number()).toBe(Number(written));
  expect(scanner.offset).toBe(written.length);
}

test('numbers as people and programs write them', () => {
  for (const written of [
    '0',
    '-0',
    '+1',
    '1.',
    '.5',
    '-.5e-3',
    '1e5',
    '1E+05',
    '123456789.123456789',
    '0.1',
    '9007199254740993',
    '179769313486231570000000000000000000000',
    '2.2250738585072014e-308',
    '4.9e-324',
    '1e-400',
    '1e400',
    '-1e999999999',
    '0.000000000000000000000000000000001',
    '3.4028235e38',
    '1.17549435E-38',
    '123456789012345678901234567890e-20',
    '8.5e22',
    '8.5e23',
    '1e22',
    '1e23',
    '5708990770823839524233143877797980545530986496e-20',
  ]) {
    expectNumber(written);
  }
});

test('every double comes back as itself, in every way of writing it', () => {
  fc.assert(
    fc.property(
      fc.double({ noNaN: true, noDefaultInfinity: true }),
      fc.integer({ min: 1, max: 21 }),
      (value, digits) => {
        expectNumber(String(value));
        expectNumber(value.toExponential());
        expectNumber(value.toPrecision(digits));
        if (Number.isFinite(Math.fround(value))) expectNumber(String(Math.fround(value)));
      },
    ),
    { seed: 1, numRuns: 2000 },
  );
});

test('what is no number is NaN and leaves the scanner where it was', () => {
  for (const written of [
    '',
    'nan',
    '-nan(ind)',
    'inf',
    '-Infinity',
    'e5',
    '1e',
    '1e+',
    '.',
    '-',
    '+',
    '1,5',
    '0x10',
    '1_000',
    '--1',
    '1.2.3',
    '5mm',
  ]) {
    const scanner = scan(written);
    expect(scanner.number()).toBeNaN();
    expect(scanner.offset).toBe(0);
  }
});

test('whole numbers stop at what follows them', () => {
  const scanner = scan('-12/34');
  expect(scanner.integer()).toBe(-12);
  expect(scanner.offset).toBe(3);
  expect(scan('x').integer()).toBeNaN();
});

test('lines are counted whatever ends them, and blank ones skipped', () => {
  for (const end of ['\n', '\r\n', '\r']) {
    const scanner = scan(['a b', '', ' \t ', 'c', ''].join(end));
    expect(scanner.skipBlankLines()).toBe(true);
    expect(scanner.word()).toBe('a');
    scanner.nextLine();
    expect(scanner.skipBlankLines()).toBe(true);
    expect([scanner.line, scanner.word()]).toEqual([4, 'c']);
    expect(scanner.skipBlankLines()).toBe(false);
    expect(scanner.atEnd).toBe(true);
  }
});

test('a backslash at a line end continues the line, where asked for', () => {
  const scanner = scan('1 \\\r\n2 \\\n 3\n4', true);
  const numbers: number[] = [];
  while (scanner.skipSpaces()) numbers.push(scanner.number());
  expect(numbers).toEqual([1, 2, 3]);
  expect(scanner.line).toBe(3);
  scanner.nextLine();
  expect(scanner.line).toBe(4);
  const skipped = scan('x \\\n y\nz', true);
  skipped.nextLine();
  expect(skipped.word()).toBe('z');
});
