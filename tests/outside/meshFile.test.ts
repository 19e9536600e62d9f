import validator from 'gltf-validator';
import { beforeAll, describe, expect, test } from 'vitest';
import { meshTotals } from '../../src/geometry/meshTotals.ts';
import { readScan } from '../../src/intake/readScan.ts';
import { type MeasuredScan, measureScan } from '../../src/record/measureScan.ts';
import { MESH_KINDS, type MeshKind, meshFile } from '../../src/record/meshFile.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { smallScan } from '../cli/run.ts';
import { askPython } from './python.ts';

/** Would end a header's line, start another and close a string, if it were let. */
const HOSTILE = 'A 1\nelement vertex 9\r\n"}],"x":Ω𐌀<script>';
const SETTINGS = { ...DEFAULT_SETTINGS, scan: { ...DEFAULT_SETTINGS.scan, unit: 'mm' as const } };

let first: MeasuredScan;
const fileOf = (kind: MeshKind): Uint8Array =>
  meshFile(kind, first.model, { number: HOSTILE, file: 'a.ply', sha256: first.record.source.sha256 });

beforeAll(async () => {
  first = await measureScan(smallScan('lanceolate'), 'a.ply', SETTINGS);
});

const numberIn = ({ record }: MeasuredScan, id: string): number =>
  record.measurements.find((measured) => measured.id === id)?.value as number;

describe('the oriented mesh as a file', () => {
  test.each(MESH_KINDS)('%s: read back, it has the same vertices in mm and the same triangles', (kind) => {
    const { mesh } = first.model.surface as NonNullable<typeof first.model.surface>;
    // GLB names its unit by its standard, PLY can't.
    const read = readScan(fileOf(kind), kind === 'ply' ? SETTINGS.scan : DEFAULT_SETTINGS.scan);
    expect(read.unit.unit).toBe(kind === 'ply' ? 'mm' : 'm');
    expect(read.mesh.triangles.length).toBe(mesh.triangles.length);
    const [here, back] = [meshTotals(mesh), meshTotals(read.mesh)];
    for (const key of ['volume', 'area'] as const)
      expect(Math.abs(back[key] / here[key] - 1)).toBeLessThan(1e-6);
  });

  test.each(MESH_KINDS)('%s: measured again, it gives the same numbers, in the same frame', async (kind) => {
    const settings = kind === 'ply' ? SETTINGS : DEFAULT_SETTINGS;
    const again = await measureScan(fileOf(kind), `a.${kind}`, settings);
    for (const id of ['length', 'width', 'area', 'thickness', 'volume', 'surface', 'edge.angle.mean'])
      expect(Math.abs(numberIn(again, id) / numberIn(first, id) - 1), id).toBeLessThan(1e-4);
    // The file's coordinates are those of the specimen frame already: the matrix is the unit matrix, in the file's unit.
    const perUnit = kind === 'ply' ? 1 : 1000;
    const { matrix } = again.record.frame;
    for (const [k, value] of matrix.entries()) {
      const wanted = k === 15 ? 1 : k % 5 === 0 ? perUnit : 0;
      expect(Math.abs(value - wanted), `entry ${k}`).toBeLessThan(1e-3 * perUnit);
    }
  });

  test('PLY: VTK reads it and finds the record’s area and volume', () => {
    const found = askPython<{ area: number; volume: number; bounds: number[] }>(
      `
import base64, os, tempfile, vtk
path = os.path.join(tempfile.mkdtemp(), 'a.ply')
open(path, 'wb').write(base64.b64decode(data))
reader = vtk.vtkPLYReader(); reader.SetFileName(path); reader.Update()
mass = vtk.vtkMassProperties(); mass.SetInputData(reader.GetOutput())
print(json.dumps({'area': mass.GetSurfaceArea(), 'volume': mass.GetVolume(), 'bounds': reader.GetOutput().GetBounds()}))`,
      Buffer.from(fileOf('ply')).toString('base64'),
    );
    expect(Math.abs(found.area / numberIn(first, 'surface') - 1)).toBeLessThan(1e-5);
    expect(Math.abs(found.volume / numberIn(first, 'volume') - 1)).toBeLessThan(1e-5);
    // Tip up: the extent along y is the length, but for what noise the outline is freed of.
    const [, , base, tip] = found.bounds;
    expect(Math.abs(base)).toBeLessThan(0.01);
    expect(Math.abs(tip - numberIn(first, 'length'))).toBeLessThan(0.01);
  });

  test('GLB: without error or warning in the glTF validator (Khronos, npm gltf-validator 2.0.0-dev.3.10)', async () => {
    const bytes = fileOf('glb');
    const { issues, info } = await validator.validateBytes(bytes);
    expect(issues.messages.filter(({ code }) => code !== 'UNUSED_OBJECT')).toEqual([]);
    expect(issues.numErrors + issues.numWarnings).toBe(0);
    expect(info.totalTriangleCount).toBe((first.model.surface?.mesh.triangles.length ?? 0) / 3);
    // The check can fail: one least coordinate wrong, and it says so.
    const text = Buffer.from(bytes).toString('latin1').replace('"min":[-', '"min":[1');
    const spoilt = await validator.validateBytes(Buffer.from(text, 'latin1'));
    expect(spoilt.issues.numErrors).toBeGreaterThan(0);
  });

  test('a hostile catalogue number is text in both', () => {
    const header = Buffer.from(fileOf('ply')).toString('latin1').split('end_header')[0];
    expect(header.match(/^element vertex/gm)?.length).toBe(1);
    expect(header).toContain(
      'comment catalogue number A 1\\u{a}element vertex 9\\u{d}\\u{a}"}],"x":\\u{3a9}',
    );
    const bytes = fileOf('glb');
    const length = new DataView(bytes.buffer).getUint32(12, true);
    const document = JSON.parse(new TextDecoder().decode(bytes.subarray(20, 20 + length)));
    expect(document.nodes[0].name).toBe(HOSTILE);
  });
});
