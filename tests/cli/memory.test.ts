import { mkdtempSync, truncateSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { memoryDoubt, tellMemoryDoubts } from '../../src/cli/memory.ts';

test('a scan that needs eight times its size in memory is doubted where there is less', () => {
  const gigabyte = 2 ** 30;
  expect(memoryDoubt(gigabyte, 8 * gigabyte)).toBeUndefined();
  expect(memoryDoubt(2 * gigabyte, 8 * gigabyte)).toBe(
    'The scan may need 16 GB of memory, and there are 8 GB: if it fails, thin it where it was made, or measure it on a larger machine.',
  );
});

test('each such file is told by its name; small and missing ones are not', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'knapgauge-memory-'));
  const [small, vast] = [join(folder, 'small.ply'), join(folder, 'vast.ply')];
  writeFileSync(small, 'ply');
  writeFileSync(vast, '');
  // A file of holes: as long as it says, without a byte on the disk.
  truncateSync(vast, 2 ** 42);
  const told: string[] = [];
  await tellMemoryDoubts([small, vast, join(folder, 'none.ply')], (line) => told.push(line));
  expect(told.length).toBe(1);
  expect(told[0]).toContain('vast.ply: The scan may need 33000 GB of memory');
});
