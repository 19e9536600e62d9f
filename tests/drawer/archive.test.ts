import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { zipSync } from 'fflate';
import { describe, expect, test } from 'vitest';
import { ArchiveError, archiveWriter, packArchive, unpackArchive } from '../../src/drawer/archive.ts';

const text = (words: string): Uint8Array => new TextEncoder().encode(words);
const FILES = [
  { path: 'pieces/1/piece.json', bytes: text('{"title":"Ä"}') },
  { path: 'pieces/1/scan/Stück 7.ply', bytes: Uint8Array.from({ length: 5000 }, (_, k) => (k * k) % 251) },
];

const codeOf = async (archive: Uint8Array): Promise<string> => {
  try {
    await unpackArchive(archive);
    return 'read';
  } catch (error) {
    if (!(error instanceof ArchiveError)) throw error;
    return error.code;
  }
};

const withManifest = (manifest: unknown, files: Record<string, Uint8Array> = {}): Uint8Array =>
  zipSync({ 'manifest.json': text(JSON.stringify(manifest)), ...files });

describe('the archive of a drawer', () => {
  test('gives back what was put in, and the same bytes each time', async () => {
    const archive = await packArchive(FILES);
    expect(await unpackArchive(archive)).toEqual(FILES);
    expect(await packArchive(FILES)).toEqual(archive);
  });

  test('comes as it is written: what is held does not grow with the drawer', async () => {
    const seed = text('held');
    let [held, most] = [0, 0];
    const writer = archiveWriter(({ length }) => {
      held += length;
    });
    for (let k = 0; k < 40; k++) {
      // Noise does not get smaller: 256 kB a file, 10 MB in all.
      const bytes = Uint8Array.from({ length: 1 << 18 }, (_, i) => Math.imul(i + k, 2654435761) >>> 24);
      await writer.add({ path: `pieces/${k}/scan`, bytes });
      most = Math.max(most, held);
      expect(held, 'each file is out before the next comes').toBeGreaterThan(0);
      held = 0;
    }
    await writer.add({ path: 'last', bytes: seed });
    writer.finish();
    expect(most).toBeLessThan(2 * (1 << 18));
  });

  test('is a ZIP file to others: Python’s zipfile finds nothing wrong with it', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'knapgauge-zip-'));
    const file = join(folder, 'drawer.zip');
    writeFileSync(file, await packArchive(FILES));
    const says = execFileSync('/usr/bin/python3', [
      '-c',
      'import sys, zipfile; z = zipfile.ZipFile(sys.argv[1]); print(z.testzip(), "|".join(sorted(z.namelist())))',
      file,
    ]).toString();
    rmSync(folder, { recursive: true });
    expect(says.trim()).toBe('None manifest.json|pieces/1/piece.json|pieces/1/scan/Stück 7.ply');
  });

  test('refuses what is damaged, foreign, newer or hostile, each with its code', async () => {
    const listed = (path: string, bytes = 3) => ({
      format: 'knapgauge-drawer',
      version: 1,
      files: [{ path, bytes, sha256: '0'.repeat(64) }],
    });
    expect(await codeOf(text('no zip at all'))).toBe('archive-damaged');
    expect(await codeOf(zipSync({ 'a.txt': text('abc') }))).toBe('archive-format');
    expect(await codeOf(withManifest({ format: 'other', version: 1, files: [] }))).toBe('archive-format');
    expect(await codeOf(withManifest({ ...listed('a'), version: 2 }))).toBe('archive-newer');
    expect(await codeOf(withManifest(null))).toBe('archive-format');
    expect(await codeOf(withManifest(listed('a'), { a: text('abc') }))).toBe('archive-damaged');
    for (const path of ['../a', '/a', 'C:/a', 'a//b', 'a/../../b', 'a\\b', '__proto__', '']) {
      expect([path, await codeOf(withManifest(listed(path), { a: text('abc') }))]).toEqual([
        path,
        'archive-damaged',
      ]);
    }
  });

  test('refuses a bomb by the sizes that it names, before it is unpacked', async () => {
    const bomb = zipSync({ 'manifest.json': text('{}'), big: new Uint8Array(20_000_000) }, { level: 9 });
    // The central directory says that the big file is 4 GB less one byte.
    const view = new DataView(bomb.buffer);
    for (let at = 0; at + 46 < bomb.length; at++) {
      if (view.getUint32(at, true) === 0x02014b50 && view.getUint32(at + 24, true) === 20_000_000) {
        view.setUint32(at + 24, 0xfffffffe, true);
      }
    }
    expect(await codeOf(bomb)).toBe('archive-size');
  });

  test('damaged anywhere, it is refused or gives exactly what was put in (300 seeded changes)', async () => {
    const archive = await packArchive(FILES);
    await fc.assert(
      fc.asyncProperty(fc.nat(archive.length - 1), fc.integer({ min: 1, max: 255 }), async (at, flip) => {
        const damaged = archive.slice();
        damaged[at] ^= flip;
        const code = await codeOf(damaged);
        if (code === 'read') expect(await unpackArchive(damaged)).toEqual(FILES);
      }),
      { numRuns: 300, seed: 5 },
    );
  });
});
