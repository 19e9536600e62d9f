import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { drawMat } from '../../src/plate/mat.ts';
import { matPdf } from '../../src/plate/matPdf.ts';
import { knapgauge, newFolder } from './run.ts';

test('a mat is written as its file ends, or as it is told', () => {
  const folder = newFolder();
  const pdf = join(folder, 'new', 'mat.pdf');
  const run = knapgauge(['mat', '-o', pdf]);
  expect(run).toMatchObject({ code: 0, err: '' });
  expect(run.out).toContain('a scale mat for A4');
  expect(readFileSync(pdf, 'latin1')).toBe(matPdf(drawMat('A4')));
  const plain = join(folder, 'mat');
  expect(knapgauge(['mat', '--paper', 'Letter', '--format', 'svg', '-o', plain, '-q'])).toEqual({
    code: 0,
    out: '',
    err: '',
  });
  expect(readFileSync(plain, 'utf8')).toContain('width="215.9mm"');
});

test('what can’t be done is said in one line', () => {
  const folder = newFolder();
  expect(knapgauge(['mat', '-o', join(folder, 'mat.png')])).toMatchObject({
    code: 2,
    err: expect.stringMatching(/ends in neither \.pdf nor \.svg/),
  });
  expect(knapgauge(['mat', '--paper', 'A0', '-o', join(folder, 'mat.pdf')]).code).toBe(2);
  const run = knapgauge(['mat', '-o', join('/dev/null', 'mat.pdf')]);
  expect(run.code).toBe(3);
  expect(run.err.trim().split('\n')).toHaveLength(1);
});
