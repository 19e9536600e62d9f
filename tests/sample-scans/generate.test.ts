import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { manifest, PIECES } from '../../sample-scans/generate/drawer.ts';
import { scanPiece } from '../../sample-scans/generate/scan.ts';

const FOLDER = fileURLToPath(new URL('../../sample-scans', import.meta.url));

describe('the generator', () => {
  test('knaps the smallest piece again, byte for byte', async () => {
    const piece = PIECES.find((p) => p.name === 'qt-41-18-small-point')!;
    const { scan, truth } = scanPiece(piece);
    expect(Buffer.from(scan).equals(await readFile(`${FOLDER}/${piece.name}.${piece.format}`))).toBe(true);
    expect(truth).toBe(await readFile(`${FOLDER}/${piece.name}.truth.json`, 'utf8'));
  });

  test('wrote the manifest that lies in the drawer', async () => {
    expect(JSON.parse(await readFile(`${FOLDER}/drawer.json`, 'utf8'))).toEqual(manifest());
  });
});
