import { inflateSync, strFromU8 } from 'fflate';
import type { SpecimenRecord } from '../../record/schema.ts';

/** Lines, tables and sections: nine tenths of a record, of which cards and lists ask nothing. */
const HEAVY = ['outline', 'midline', 'margin', 'profile', 'series', 'sections', 'humps'] as const;
type Heavy = Pick<SpecimenRecord, (typeof HEAVY)[number]>;

/**
 * The same record, whose heavy parts are packed a moment later and unpacked when they are asked for: outside the heap of
 * the page's scripts and an eighth as large. Looks and copies like any other record.
 */
export function packedRecord(record: SpecimenRecord): SpecimenRecord {
  if (packings.has(record)) return record;
  const packing = new Packing(heavyOf(record));
  const parts = Object.entries(Object.getOwnPropertyDescriptors(record)).map(([part, as]) =>
    isHeavy(part) ? ([part, unpacking(packing, part)] as const) : ([part, as] as const),
  );
  const packed = Object.defineProperties({}, Object.fromEntries(parts)) as SpecimenRecord;
  packings.set(packed, packing);
  return packed;
}

const isHeavy = (part: string): part is keyof Heavy => (HEAVY as readonly string[]).includes(part);

function heavyOf(record: SpecimenRecord): Heavy {
  return Object.fromEntries(HEAVY.map((part) => [part, record[part]])) as unknown as Heavy;
}

/** By itself, so that what it closes over is the packing alone: a scope shared with the record would hold that for good. */
function unpacking(packing: Packing, part: keyof Heavy): PropertyDescriptor {
  return { enumerable: true, get: () => packing.get()[part] };
}

/** Settles once the record is packed; at once for one that is not to be. */
export async function whenPacked(record: SpecimenRecord): Promise<void> {
  await packings.get(record)?.done;
}

const packings = new WeakMap<SpecimenRecord, Packing>();

class Packing {
  /** Until it is packed. */
  #whole: Heavy | undefined;
  #packed: Uint8Array | undefined;
  /** What was unpacked last, for as long as somebody else holds it. */
  #seen: WeakRef<Heavy> | undefined;
  readonly done: Promise<void>;

  constructor(whole: Heavy) {
    this.#whole = whole;
    this.done = this.#pack();
  }

  get(): Heavy {
    const there = this.#whole ?? this.#seen?.deref();
    if (there !== undefined) return there;
    if (this.#packed === undefined) throw new Error('neither whole nor packed');
    const whole = JSON.parse(strFromU8(inflateSync(this.#packed))) as Heavy;
    this.#seen = new WeakRef(whole);
    return whole;
  }

  /** Once more pressing work is done; the browser packs beside the page. Where it can't, the record stays whole. */
  async #pack(): Promise<void> {
    await new Promise<void>((resolve) => {
      if (typeof requestIdleCallback === 'function') requestIdleCallback(() => resolve(), { timeout: 2000 });
      else setTimeout(resolve);
    });
    try {
      const text = new Blob([JSON.stringify(this.#whole)]);
      const packed = text.stream().pipeThrough(new CompressionStream('deflate-raw'));
      this.#packed = new Uint8Array(await new Response(packed).arrayBuffer());
      if (this.#whole !== undefined) this.#seen = new WeakRef(this.#whole);
      this.#whole = undefined;
    } catch {
      // No memory for the copy, or a browser without this: nothing is lost.
    }
  }
}
