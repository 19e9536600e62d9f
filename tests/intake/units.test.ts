import { describe, expect, test } from 'vitest';
import { greatestExtent, settleUnit } from '../../src/intake/units.ts';
import { codes, readSound } from './support/read.ts';
import { moved, pebble, volumeOf } from './support/shapes.ts';
import { writeGlb } from './support/writeGltf.ts';
import { writePlyBinary } from './support/writePly.ts';

const mesh = pebble(); // 120 mm long

describe('a file without a unit', () => {
  test.each([
    ['mm', 1],
    ['cm', 0.1],
    ['m', 0.001],
    ['um', 1000],
  ] as const)('%s are guessed from the size, and said so', (unit, factor) => {
    const scan = readSound(writePlyBinary(moved(mesh, factor)));
    expect(scan.unit).toEqual({ unit, method: 'guessed' });
    expect(codes(scan)).toEqual(['units-guessed']);
    expect(scan.warnings[0].text).toContain('120 mm long');
    expect(volumeOf(scan.mesh) / volumeOf(mesh)).toBeCloseTo(1, 4);
  });
  test('where no unit makes a biface, numbers stay millimetres under a warning', () => {
    for (const factor of [1e-9, 1e-7, 10, 1e6, 1e9]) {
      const scan = readSound(writePlyBinary(moved(mesh, factor)));
      expect(scan.unit).toEqual({ unit: 'mm', method: 'guessed' });
      expect(codes(scan)).toEqual(['units-guessed', 'size-implausible']);
    }
  });
  test('where another unit would make a biface as well, it is said how long that would be', () => {
    const [{ text }] = settleUnit(3.82, 'stl').warnings;
    expect(text).toContain(
      'centimetres were taken, which makes the piece 38.2 mm long; in inches it would be 97 mm.',
    );
    expect(settleUnit(90, 'stl').warnings[0].text).not.toContain('would be');
  });
  test('a microlith of 12 mm: millimetres are named beside the guess, and metres are taken where nothing else could be', () => {
    expect(settleUnit(12, 'ply').warnings[0].text).toContain(
      'centimetres were taken, which makes the piece 120 mm long; in millimetres it would be 12 mm; in inches it would be 305 mm.',
    );
    const inMetres = settleUnit(0.012, 'ply');
    expect(inMetres.unit).toEqual({ unit: 'm', method: 'guessed' });
    expect(inMetres.warnings.map(({ code }) => code)).toEqual(['units-guessed', 'size-implausible']);
    expect(settleUnit(3.9, 'stl').warnings[0].text).not.toContain('in millimetres');
    expect(settleUnit(0.9, 'stl').unit.unit).toBe('in');
    expect(settleUnit(0.5, 'stl').warnings[1].text).toContain(
      'in metres and the piece is 500 mm long; in centimetres it would be 5 mm; in inches it would be 12.7 mm; a biface is',
    );
  });
  test('the borders of what is plausible', () => {
    expect(settleUnit(15, 'stl').unit.unit).toBe('mm');
    expect(settleUnit(400, 'stl').unit.unit).toBe('mm');
    expect(settleUnit(14.99, 'stl').unit.unit).toBe('cm');
    expect(settleUnit(0.4, 'stl').unit.unit).toBe('m');
    expect(settleUnit(0.015, 'stl').unit.unit).toBe('m');
    expect(settleUnit(1.2, 'stl').unit.unit).toBe('in');
  });
});

test('a unit that is given is taken, with a word if it can hardly be', () => {
  const scan = readSound(writePlyBinary(mesh), { unit: 'mm' });
  expect(scan.unit).toEqual({ unit: 'mm', method: 'given' });
  expect(codes(scan)).toEqual([]);
  const inches = readSound(writePlyBinary(moved(mesh, 1 / 25.4)), { unit: 'in' });
  expect(codes(inches)).toEqual([]);
  expect(volumeOf(inches.mesh) / volumeOf(mesh)).toBeCloseTo(1, 4);
  expect(codes(readSound(writePlyBinary(mesh), { unit: 'm' }))).toEqual(['size-implausible']);
});

test('glTF is in metres by its standard, with a word if that can hardly be', () => {
  expect(codes(readSound(writeGlb(moved(mesh, 0.001))))).toEqual([]);
  const scan = readSound(writeGlb(mesh));
  expect(scan.unit).toEqual({ unit: 'm', method: 'standard' });
  expect(codes(scan)).toEqual(['size-implausible']);
  expect(scan.warnings[0].text).toContain('120000 mm long; in millimetres it would be 120 mm; a biface is');
  expect(readSound(writeGlb(mesh), { unit: 'mm' }).unit).toEqual({ unit: 'mm', method: 'given' });
});

test('the greatest extent does not depend on the pose', () => {
  const turn = (angle: number) =>
    mesh.positions.map((value, i, p) => {
      const axis = i % 3;
      if (axis === 2) return value;
      return axis === 0
        ? Math.cos(angle) * value - Math.sin(angle) * p[i + 1]
        : Math.sin(angle) * p[i - 1] + Math.cos(angle) * value;
    });
  for (const angle of [0, 0.3, 1, 2]) expect(greatestExtent(turn(angle))).toBeCloseTo(120, 6);
});
