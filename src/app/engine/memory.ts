import type { BenchJob, Outcome } from '../../../workers/messages.ts';
import { bestThinning, scanNeeds } from '../../intake/foretell.ts';
import { MEMORY_SHORT } from '../state/fault.ts';

/** What drawing a scan takes on top of measuring it, as a share of that (see docs/trust.md). */
const DRAWING = 0.25;
/** No page gets more, bytes. */
const MOST = 4e9;

/** What a page may have, bytes: half of what the browser says of the machine (at most 8 GB, for privacy; not all tell it). */
export function pageMemory(): number {
  const { deviceMemory = 4 } = navigator as Navigator & { readonly deviceMemory?: number };
  return Math.min(MOST, (deviceMemory / 2) * 1e9);
}

/** A refusal that asks, where measuring a scan may need more memory than there is; undefined where it will do. */
export function memoryShort(job: BenchJob, head: Uint8Array, memory: number): Outcome | undefined {
  const needs = scanNeeds(head, job.file.size);
  if (job.whole || needs === undefined) return undefined;
  const { thin } = job.settings.scan;
  const needed = (1 + DRAWING) * (thin === undefined ? needs.whole : needs.thinned(thin));
  if (needed <= memory) return undefined;
  const best = bestThinning(needs, memory / (1 + DRAWING));
  const thinTo = thin === undefined || (best !== undefined && best < thin) ? best : undefined;
  const message = `The scan has about ${about(needs.triangles)} triangles and may need ${gigabytes(needed)} of memory; this page may have ${gigabytes(memory)}.`;
  return {
    ok: false,
    run: job.run,
    cancelled: false,
    failure: {
      name: 'IntakeError',
      code: MEMORY_SHORT,
      message,
      ...(thinTo === undefined ? {} : { thinTo }),
    },
  };
}

function gigabytes(bytes: number): string {
  return `${Number((bytes / 1e9).toPrecision(2))}\u00a0GB`;
}

function about(count: number): string {
  const [size, word] = count >= 1e6 ? [1e6, 'million'] : [1e3, 'thousand'];
  return `${Number((count / size).toPrecision(2))}\u00a0${word}`;
}
