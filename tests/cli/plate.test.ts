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

test('photographs of both faces become a plate of both; where Face B is left out it is said', () => {
  const folder = newFolder();
  const out = (name: string): string => join(folder, name);
  const faces = ['A', 'B'].map((view) => join(ROOT, `sample-scans/qt-41-3-photo-${view}.jpg`));
  const photo = `A=${faces[0]},B=${faces[1]}`;
  expect(knapgauge(['measure', '--photo', photo, '--bar', '50mm', '-o', out('measured')])).toMatchObject({
    code: 0,
  });
  const record = join(out('measured'), 'qt-41-3-photo-A.specimen.json');
  const drawn = knapgauge([
    ...['plate', '--photo', photo, '--settings', record, '--format', 'svg', '-o', out('plate')],
  ]);
  expect(drawn).toMatchObject({ code: 0, err: '' });
  const svg = String(filesIn(out('plate')).get('plate.svg'));
  expect(svg.match(/<image /g)).toHaveLength(2);
  expect(svg).toContain('>Face B</text>');
  expect(svg.replace(/<[^>]*>/g, ' ')).toMatch(/photographs\s+show that of Face A alone/);
  // A placed tip is a place of the picture of Face A: Face B is laid by its outline all the same.
  const settings = out('placed.json');
  const { frame } = JSON.parse(String(filesIn(out('measured')).get('qt-41-3-photo-A.specimen.json')));
  const inPicture = (x: number, y: number): number[] => {
    const [m, d] = [frame.matrix, [x - frame.matrix[12], y - frame.matrix[13]]];
    return [m[0] * d[0] + m[1] * d[1], m[4] * d[0] + m[5] * d[1], 0];
  };
  const [base, tip] = [inPicture(1, frame.length), inPicture(0.5, 0)];
  const trace = { axis: 'tip-base', base, tip };
  writeFileSync(settings, JSON.stringify({ photo: { method: 'bar', length: 50 }, trace }));
  expect(
    knapgauge(['plate', '--photo', photo, '--settings', settings, '--format', 'svg', '-o', out('placed')]),
  ).toMatchObject({ code: 0, err: '' });
  const pictures = String(filesIn(out('placed')).get('plate.svg')).match(/<image [^>]*>/g) ?? [];
  const [a, b] = pictures.map((one) =>
    [/ width="([\d.]+)/, / height="([\d.]+)/].map((size) => Number(size.exec(one)?.[1])),
  );
  for (const side of [0, 1]) expect(Math.abs(b[side] / a[side] - 1)).toBeLessThan(0.02);
  const alone = knapgauge(['plate', record, '--format', 'svg', '-o', out('alone')]);
  expect(alone.code).toBe(0);
  expect(alone.err).toContain('Face B is not drawn: a record holds no pictures.');
}, 90_000);

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
