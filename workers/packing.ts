/** A value without its typed arrays and blobs, which lie one after another in one blob beside it. */
export interface Packed {
  readonly tree: unknown;
  readonly bytes: Blob;
  /** Typed arrays take so many of the bytes, from the first on; then come the blobs. */
  readonly arrays: number;
}

const KINDS = { Float32Array, Float64Array, Uint32Array } as const;
type Kind = keyof typeof KINDS;
type Numbers = InstanceType<(typeof KINDS)[Kind]>;

/** Stands in the tree for what lies among the bytes. */
interface Standing {
  readonly standsFor: Kind | 'Blob';
  /** From the first of the arrays, or of the blobs, bytes. */
  readonly at: number;
  /** Entries of an array, bytes of a blob. */
  readonly size: number;
  /** Of a blob. */
  readonly type: string;
}

/** Every typed array begins where each of their kinds may, bytes. */
const STEP = 8;

/**
 * Packs plain data in which Float32Array, Float64Array, Uint32Array and Blob may occur, so that a database takes it and
 * gives it back without reading it through. Throws a TypeError for other typed arrays.
 */
export function pack(value: unknown): Packed {
  const arrays: BlobPart[] = [];
  const blobs: Blob[] = [];
  let [arraysEnd, blobsEnd] = [0, 0];
  const walk = (part: unknown): unknown => {
    if (part instanceof Blob) {
      blobs.push(part);
      blobsEnd += part.size;
      return standing('Blob', blobsEnd - part.size, part.size, part.type);
    }
    if (ArrayBuffer.isView(part)) {
      const kind = kindOf(part);
      const at = arraysEnd;
      const gap = (STEP - (part.byteLength % STEP)) % STEP;
      arrays.push(part as Numbers & ArrayBufferView<ArrayBuffer>, new Uint8Array(gap));
      arraysEnd += part.byteLength + gap;
      return standing(kind, at, (part as Numbers).length);
    }
    if (Array.isArray(part)) return part.map(walk);
    if (typeof part !== 'object' || part === null) return part;
    return Object.fromEntries(Object.entries(part).map(([key, inside]) => [key, walk(inside)]));
  };
  const tree = walk(value);
  return { tree, bytes: new Blob([...arrays, ...blobs]), arrays: arraysEnd };
}

/** What was packed. Its arrays share one buffer. Rejects where bytes are missing. */
export async function unpack({ tree, bytes, arrays }: Packed): Promise<unknown> {
  const buffer = await bytes.slice(0, arrays).arrayBuffer();
  if (buffer.byteLength !== arrays) throw new Error('bytes are missing');
  const walk = (part: unknown): unknown => {
    if (Array.isArray(part)) return part.map(walk);
    if (typeof part !== 'object' || part === null) return part;
    if (isStanding(part)) {
      const { standsFor, at, size, type } = part;
      if (standsFor === 'Blob') return bytes.slice(arrays + at, arrays + at + size, type);
      return new KINDS[standsFor](buffer, at, size);
    }
    return Object.fromEntries(Object.entries(part).map(([key, inside]) => [key, walk(inside)]));
  };
  return walk(tree);
}

function standing(standsFor: Kind | 'Blob', at: number, size: number, type = ''): Standing {
  return { standsFor, at, size, type };
}

const isStanding = (part: object): part is Standing => 'standsFor' in part;

function kindOf(array: ArrayBufferView): Kind {
  const found = (Object.keys(KINDS) as Kind[]).find((kind) => array instanceof KINDS[kind]);
  if (found === undefined) throw new TypeError('an array of a kind that is not packed');
  return found;
}
