import { expect, test } from 'vitest';
import { memoryShort } from '../../src/app/engine/memory.ts';
import { faultOf, needsHand } from '../../src/app/state/fault.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import type { BenchJob } from '../../workers/messages.ts';

/** A job over a file of 380 MB of which only the head is there. */
function jobOf(thin?: number, whole = false): { job: BenchJob; head: Uint8Array } {
  const header =
    'ply\nformat binary_little_endian 1.0\nelement vertex 10000000\nproperty float x\nproperty float y\nproperty float z\n' +
    'element face 20000000\nproperty list uchar int vertex_indices\nend_header\n';
  const scan = { ...DEFAULT_SETTINGS.scan, ...(thin === undefined ? {} : { thin }) };
  const settings = { ...DEFAULT_SETTINGS, scan };
  const file = { size: 380e6 } as Blob;
  const job: BenchJob = { run: 1, source: 'a', file, fileName: 'a.ply', settings, whole, want: 'bench' };
  return { job, head: new TextEncoder().encode(header) };
}

function asked(thin: number | undefined, memory: number, whole = false) {
  const { job, head } = jobOf(thin, whole);
  const outcome = memoryShort(job, head, memory);
  return outcome === undefined || outcome.ok ? undefined : faultOf(outcome.failure);
}

test('a page asks before a scan for which its memory may not suffice, and offers what would fit', () => {
  const fault = asked(undefined, 2e9);
  expect(fault?.what).toBe(
    'The scan has about 20\u00a0million triangles and may need 3.6\u00a0GB of memory; this page may have 2\u00a0GB.',
  );
  expect(fault?.thinTo).toBe(2_000_000);
  expect(fault !== undefined && needsHand(fault)).toBe(true);
  expect(asked(undefined, 1e9)?.thinTo).toBeUndefined();
});

test('it does not ask where there is room, where the scan is thinned enough, or where it was told to try', () => {
  expect(asked(undefined, 4e9)).toBeUndefined();
  expect(asked(500_000, 2e9)).toBeUndefined();
  expect(asked(undefined, 2e9, true)).toBeUndefined();
  expect(asked(2_000_000, 1.75e9)?.thinTo).toBe(200_000);
});
