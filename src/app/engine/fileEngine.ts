import type {
  BenchEvents,
  BenchJob,
  EngineApi,
  FamilyRows,
  MeshJob,
  Outcome,
  PhotoApi,
} from '../../../workers/messages.ts';
import { FORETOLD_FROM } from '../../intake/foretell.ts';
import { isPhoto } from '../../intake/photoRead.ts';
import { sniff } from '../../intake/sniff.ts';
import type { Engine } from '../state/bench.ts';
import { memoryShort, pageMemory } from './memory.ts';
import { broken, stopped, WorkerEngine } from './workerEngine.ts';

/** How long the worker for photographs may take to heed a cancel, ms: it holds OpenCV, the pixels and what was found in them. */
const PHOTO_PATIENCE = 1500;

/** A large scan takes about a gigabyte while it is measured: a second one at a time only where there is room for it. */
export function queueLanes(): number {
  const { deviceMemory = 4 } = navigator as Navigator & { readonly deviceMemory?: number };
  return deviceMemory >= 8 && navigator.hardwareConcurrency >= 4 ? 2 : 1;
}

/** Measures a file with the worker for its kind, which its content tells: scans with one, photographs with another. */
export class FileEngine implements Engine {
  readonly #scans = new WorkerEngine<EngineApi>(
    () =>
      new Worker(new URL('../../../workers/engine.browser.ts', import.meta.url), {
        type: 'module',
        name: 'engine',
      }),
  );
  readonly #photos = new WorkerEngine<PhotoApi>(
    () =>
      new Worker(new URL('../../../workers/photo.browser.ts', import.meta.url), {
        type: 'module',
        name: 'photo',
      }),
    PHOTO_PATIENCE,
  );
  #newest = 0;

  async families(): Promise<readonly FamilyRows[]> {
    return this.#scans.remote().families();
  }

  async mesh(job: MeshJob): Promise<Blob> {
    return this.#scans.remote().mesh(job);
  }

  /** What the worker for photographs is asked besides measuring. */
  readonly photos: Pick<PhotoApi, 'slenderness' | 'wire'> = {
    slenderness: async (picture) => this.#photos.remote().slenderness(picture),
    wire: async (asked) => this.#photos.remote().wire(asked),
  };

  async measure(job: BenchJob, events: BenchEvents): Promise<Outcome> {
    this.cancel();
    const mine = this.#newest;
    let head: Uint8Array;
    try {
      head = new Uint8Array(await job.file.slice(0, FORETOLD_FROM).arrayBuffer());
    } catch {
      return broken(job.run, new Error(`${job.fileName} could not be read.`));
    }
    if (mine !== this.#newest) return stopped(job.run);
    if (isPicture(head)) return this.#photos.measure(job, events);
    return memoryShort(job, head, pageMemory()) ?? this.#scans.measure(job, events);
  }

  async prepare(job: BenchJob): Promise<void> {
    const head = new Uint8Array(await job.file.slice(0, FORETOLD_FROM).arrayBuffer());
    if (isPicture(head)) await this.#photos.remote().prepare(job);
    else if (memoryShort(job, head, pageMemory()) === undefined) await this.#scans.remote().prepare(job);
  }

  cancel(): void {
    this.#newest += 1;
    this.#scans.cancel();
    this.#photos.cancel();
  }
}

/** Pictures that can't be read are refused by those who read pictures: they know what to advise. */
function isPicture(head: Uint8Array): boolean {
  if (isPhoto(head)) return true;
  const sniffed = sniff(head);
  return 'foreign' in sniffed && sniffed.foreign.includes('picture');
}
