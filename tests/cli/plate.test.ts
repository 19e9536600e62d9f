import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { ROOT } from '../../src/cli/ensure.mjs';
import { writeRecord } from '../../src/record/write.ts';
import { makeRecord } from '../record/fixture.ts';
import { filesIn, knapgauge, newFolder, smallScan } from './run.ts';

test('a record and a scan become one plate, the same bytes again', () => {
  const folder = newFolder();
  const [record, scan] = [join(folder, 'one.specimen.json'), join(folder, 'two.ply')];
  writeFileSync(record, writeRecord(makeRecord()));
  writeFileSync(scan, smallScan('ovate'));
  const style = join(folder, 'style.json');
  writeFileSync(style, '{"name":"mine","hatch":true,"stations":[33]}');
  const outs = ['a', 'b'].map((name) => join(folder, name));
  for (const out of outs) {
    const run = knapgauge(['plate', record, scan, '--style', style, '--scale', '1:2', '-o', out]);
    expect(run).toMatchObject({ code: 0, err: '' });
    expect(run.out).toContain('2 pieces at 1:2 on A4');
  }
  const [first, second] = outs.map(filesIn);
  expect([...first.keys()]).toEqual(['plate.pdf', 'plate.svg']);
  expect(second).toEqual(first);
  const svg = String(first.get('plate.svg'));
  // The scan was measured with the station that the style asks for, and both its faces are shaded.
  expect(svg).toContain('>33 %</text>');
  expect(svg.match(/<image /g)).toHaveLength(2);
});

test('a photograph with a scale becomes a plate of the one view that it shows', () => {
  const out = join(newFolder(), 'out');
  const photo = join(ROOT, 'sample-scans/qt-41-4-photo.jpg');
  expect(knapgauge(['plate', photo, '--format', 'svg', '-o', out])).toMatchObject({ code: 0, err: '' });
  const svg = String(filesIn(out).get('plate.svg'));
  expect(svg.match(/<image /g)).toHaveLength(1);
  expect(svg).toContain('cut out along the outline');
  // One view has no projection to name; its midline is seen on dark stone as well.
  expect(svg).not.toContain('-angle projection');
  expect(svg).toMatch(/stroke="#ffffff"[^>]*stroke-dasharray|stroke-dasharray[^>]*stroke="#ffffff"/);
});

test('what can’t be done is said in one line', () => {
  const folder = newFolder();
  const record = join(folder, 'one.json');
  writeFileSync(record, writeRecord(makeRecord()));
  const out = join(folder, 'out');
  const bad = join(folder, 'bad.json');
  writeFileSync(bad, '{"paper":"A0"}');
  for (const [args, code, words] of [
    [[join(folder, 'none.json')], 3, /no such file/],
    [[bad], 3, /not a record/],
    [[folder], 3, /not a file/],
    [[record, '--scale', '9:1'], 3, /choose .* or smaller/],
    [[record, '--scale', 'half'], 2, /scale must be/],
    [[record, '--style', bad], 2, /paper must be/],
    [[record, '--dpi', '72'], 2, /300 to 1200/],
    [[record, '--format', 'jpg'], 2, /svg, pdf, png/],
    [[record, '--name', '../up'], 2, /without folders/],
  ] as const) {
    const run = knapgauge(['plate', ...args, '-o', out, '-q']);
    expect(run.code, run.err).toBe(code);
    expect(run.err).toMatch(words);
  }
});
