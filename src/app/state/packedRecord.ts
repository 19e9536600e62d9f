import { inflateSync, strFromU8, strToU8 } from 'fflate';
import type { RecordParts } from '../../../workers/lineupMessages.ts';
import type { SpecimenRecord } from '../../record/schema.ts';

/** Lines, tables and sections: nine tenths of a record, of which cards and lists ask nothing. */
const HEAVY = ['outline', 'midline', 'margin', 'profile', 'series', 'sections', 'humps'] as const;
type Heavy = Pick<SpecimenRecord, (typeof HEAVY)[number]>;

/** A record in two. */
export type PackedParts = RecordParts;

/**
 * The same record, whose heavy parts are packed a moment later and unpacked when they are asked for: outside the heap of
 * the page's scripts and an eighth as large. Looks and copies like any other record.
 */
export function packedRecord(record: SpecimenRecord): SpecimenRecord {
  return packings.has(record) ? record : withPacking(record, new Packing(heavyOf(record)));
}

/** A record that was packed before, from its parts. */
export function recordOfParts({ light, heavy }: PackedParts): SpecimenRecord {
  return withPacking(JSON.parse(light) as SpecimenRecord, new Packing(heavy));
}

/** A packed record's parts, once it is packed; null for one that stays whole. */
export async function partsOf(record: SpecimenRecord): Promise<PackedParts | null> {
  await whenPacked(record);
  const heavy = packings.get(record)?.packed;
  if (heavy === undefined) return null;
  const light = Object.keys(record).map((part) => [
    part,
    isHeavy(part) ? null : record[part as keyof SpecimenRecord],
  ]);
  return { light: JSON.stringify(Object.fromEntries(light)), heavy };
}

/** Settles once the record is packed; at once for one that is not to be. */
export async function whenPacked(record: SpecimenRecord): Promise<void> {
  await packings.get(record)?.done;
}

function withPacking(record: SpecimenRecord, packing: Packing): SpecimenRecord {
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

const packings = new WeakMap<SpecimenRecord, Packing>();

/** Lets the page do what else is due. */
const breathe = (): Promise<void> => new Promise((resolve) => setTimeout(resolve));

/** Bytes that are deflated in one go: the browser does it on the page's own thread. */
const GO = 100_000;

class Packing {
  /** Until it is packed. */
  #whole: Heavy | undefined;
  #packed: Uint8Array | undefined;
  /** What was unpacked last, for as long as somebody else holds it. */
  #seen: WeakRef<Heavy> | undefined;
  readonly done: Promise<void>;

  constructor(heavy: Heavy | Uint8Array) {
    if (heavy instanceof Uint8Array) this.#packed = heavy;
    else this.#whole = heavy;
    this.done = this.#packed === undefined ? this.#pack() : Promise.resolve();
  }

  get packed(): Uint8Array | undefined {
    return this.#packed;
  }

  get(): Heavy {
    const there = this.#whole ?? this.#seen?.deref();
    if (there !== undefined) return there;
    if (this.#packed === undefined) throw new Error('neither whole nor packed');
    const whole = JSON.parse(strFromU8(inflateSync(this.#packed))) as Heavy;
    this.#seen = new WeakRef(whole);
    return whole;
  }

  /** Bit by bit, but soon: what is to be kept waits for it. Where it can't, the record stays whole. */
  async #pack(): Promise<void> {
    try {
      const deflating = new CompressionStream('deflate-raw');
      const writer = deflating.writable.getWriter();
      const packed = new Response(deflating.readable).arrayBuffer();
      let pen = '{';
      for (const part of HEAVY) {
        await breathe();
        const text = JSON.stringify(this.#whole?.[part]);
        if (text === undefined) continue;
        const bytes = strToU8(`${pen}"${part}":${text}`);
        pen = ',';
        for (let at = 0; at < bytes.length; at += GO) {
          if (at > 0) await breathe();
          await writer.write(bytes.subarray(at, at + GO));
        }
      }
      await writer.write(strToU8(pen === '{' ? '{}' : '}'));
      await writer.close();
      this.#packed = new Uint8Array(await packed);
      if (this.#whole !== undefined) this.#seen = new WeakRef(this.#whole);
      this.#whole = undefined;
    } catch {
      // No memory for the copy, or a browser without this: nothing is lost.
    }
  }
}
