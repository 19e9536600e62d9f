import { mkdtempSync, truncateSync, writeFileSync } from 'node:fs';
import { availableParallelism, tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { lanes, memoryDoubt, photosOf, tellMemoryDoubts } from '../../src/cli/memory.ts';

const needs = { triangles: 19_870_000, whole: 2.8e9, thinned: (limit: number) => 1e9 + 100 * limit };

test('a scan that needs more memory than there is is doubted, and thinning offered where that would do', () => {
  expect(memoryDoubt(needs, undefined, 3e9)).toBeUndefined();
  expect(memoryDoubt(needs, 1_000_000, 2e9)).toBeUndefined();
  expect(memoryDoubt(needs, undefined, 2e9)).toBe(
    'The scan has about 20 million triangles and may need 2.8 GB of memory, and there are 2 GB: if it fails, --thin 2000000 needs 1.2 GB.',
  );
  expect(memoryDoubt(needs, undefined, 0.9e9)).toContain(
    'if it fails, thin it where it was made, or measure it on a larger machine.',
  );
});

test('each such file is told by its name; small and missing ones are not', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'knapgauge-memory-'));
  const [small, vast] = [join(folder, 'small.ply'), join(folder, 'vast.ply')];
  writeFileSync(small, 'ply');
  writeFileSync(
    vast,
    'ply\nformat binary_little_endian 1.0\nelement vertex 9\nproperty float x\nelement face 4000000000\nproperty list uchar int vertex_indices\nend_header\n',
  );
  // A file of holes: as long as it says, without a byte on the disk.
  truncateSync(vast, 2 ** 42);
  const told: string[] = [];
  await tellMemoryDoubts([small, vast, join(folder, 'none.ply')], undefined, (line) => told.push(line), 8e9);
  expect(told.length).toBe(1);
  expect(told[0]).toContain('vast.ply: The scan has about 4000 million triangles and may need 4900 GB');
});

test('photographs are measured as many at once as memory allows, unless a number is asked for', async () => {
  const samples = new URL('../../sample-scans/', import.meta.url).pathname;
  const views = [{ view: 'B' as const, path: join(samples, 'qt-41-3-photo-B.jpg') }];
  const photos = photosOf({ path: join(samples, 'qt-41-4-photo.jpg'), views });
  expect(photos.length).toBe(2);
  expect(photosOf({ path: 'scan.ply' })).toEqual([]);
  const told: string[] = [];
  const tell = (line: string): number => told.push(line);
  const cores = availableParallelism();
  // The larger has 4 megapixels: 0.33 GB.
  expect(await lanes(undefined, photos, tell, 1e12)).toBe(cores);
  expect(await lanes(undefined, photos, tell, 0.5e9)).toBe(1);
  expect(await lanes(undefined, [], tell, 1)).toBe(cores);
  expect(await lanes(1, photos, tell, 1)).toBe(1);
  expect(told).toEqual([]);
  expect(await lanes(2, photos, tell, 0.5e9)).toBe(2);
  expect(told).toEqual([
    '2 photographs at once may need 0.66 GB of memory, and there are 0.5 GB: if it fails, --jobs 1 needs 0.33 GB.',
  ]);
});
