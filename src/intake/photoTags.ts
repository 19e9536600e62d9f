import type { Orientation, ResolutionTag } from './photoTypes.ts';

/** Tags of TIFF 6.0 and Exif 2.32 that are read here. */
export const TAG = {
  width: 0x100,
  height: 0x101,
  bits: 0x102,
  compression: 0x103,
  photometric: 0x106,
  stripOffsets: 0x111,
  orientation: 0x112,
  samples: 0x115,
  stripCounts: 0x117,
  xResolution: 0x11a,
  yResolution: 0x11b,
  resolutionUnit: 0x128,
  tileOffsets: 0x144,
  tileCounts: 0x145,
  extraSamples: 0x152,
  sampleFormat: 0x153,
  exif: 0x8769,
  exposureTime: 0x829a,
  focalLength: 0x920a,
  exifWidth: 0xa002,
  exifHeight: 0xa003,
  focalPlaneResolution: 0xa20e,
  focalPlaneUnit: 0xa210,
  focal35: 0xa405,
} as const;

const KNOWN: ReadonlySet<number> = new Set(Object.values(TAG));

/** Numbers of each tag of one directory. */
export type Tags = ReadonlyMap<number, readonly number[]>;

/** Bytes of one value by TIFF's type number, 1…12. Text (2) and blocks without a type (7) are not read as numbers. */
const SIZES = [0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8];
const UNREAD = new Set([2, 7]);
const MOST_ENTRIES = 4096;
const MOST_VALUES = 4_000_000;
/** Values of all tags together: directories may point at the same bytes again and again. */
const MOST_VALUES_TOGETHER = 8_000_000;
const MOST_DIRECTORIES = 64;

/** Directories of a TIFF structure (a TIFF file, or the body of an EXIF block). */
export class TagReader {
  private readonly view: DataView;
  private readonly little: boolean;
  /** Values of a tag lay beyond the end of the bytes: the file is cut short. */
  cut = false;
  private numRead = 0;

  constructor(bytes: Uint8Array) {
    this.view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    this.little = bytes[0] === 0x49;
  }

  /** Whether the first four bytes are those of a classic TIFF structure. */
  static begins(bytes: Uint8Array): boolean {
    const mark = String.fromCharCode(...bytes.subarray(0, 4));
    return mark === 'II*\0' || mark === 'MM\0*';
  }

  /** All directories of the chain; what lies beyond the end of the bytes is left out. */
  directories(): Tags[] {
    return this.chain().map((at) => this.directory(at) as Tags);
  }

  /** Tags of the directory of this number in the chain whose values are all there, and the byte where each entry lies. */
  entries(number: number): { readonly tag: number; readonly at: number }[] | undefined {
    const start = this.chain()[number];
    if (start === undefined) return undefined;
    const count = this.view.getUint16(start, this.little);
    return Array.from({ length: count }, (_, i) => {
      const at = start + 2 + 12 * i;
      return { tag: this.view.getUint16(at, this.little), at };
    }).filter(({ at }) => this.placeOf(at) !== undefined);
  }

  /** Byte offsets of the directories that follow one another. */
  private chain(): number[] {
    const { view, little } = this;
    const found = new Set<number>();
    let at = view.byteLength >= 8 ? view.getUint32(4, little) : 0;
    while (at !== 0 && !found.has(at) && found.size < MOST_DIRECTORIES) {
      const count = this.countAt(at);
      if (count === undefined) break;
      found.add(at);
      const end = at + 2 + 12 * count;
      at = end + 4 <= view.byteLength ? view.getUint32(end, little) : 0;
    }
    return [...found];
  }

  /** Entries of a directory at a byte offset. Undefined where there is none. */
  private countAt(at: number): number | undefined {
    if (at + 2 > this.view.byteLength) return undefined;
    const count = this.view.getUint16(at, this.little);
    return count > MOST_ENTRIES || at + 2 + 12 * count > this.view.byteLength ? undefined : count;
  }

  /** The tags of one directory that are read here. Undefined where there is none. */
  directory(at: number): Tags | undefined {
    const count = this.countAt(at);
    if (count === undefined) return undefined;
    const tags = new Map<number, readonly number[]>();
    for (let i = 0; i < count; i++) {
      const entry = at + 2 + 12 * i;
      const tag = this.view.getUint16(entry, this.little);
      const values = this.values(entry, KNOWN.has(tag));
      if (values !== undefined) tags.set(tag, values);
    }
    return tags;
  }

  /** Values of an entry; where they are not wanted, it is only seen whether they are there. */
  private values(entry: number, wanted: boolean): number[] | undefined {
    const place = this.placeOf(entry);
    if (place === undefined) return undefined;
    const { type, count, size, at } = place;
    if (!wanted || UNREAD.has(type) || this.numRead + count > MOST_VALUES_TOGETHER) return undefined;
    this.numRead += count;
    return Array.from({ length: count }, (_, i) => this.value(type, at + size * i));
  }

  /** Kind, number and place of an entry's values; undefined where they are of no known kind, too many or not there. */
  private placeOf(entry: number): { type: number; count: number; size: number; at: number } | undefined {
    const { view, little } = this;
    const type = view.getUint16(entry + 2, little);
    const count = view.getUint32(entry + 4, little);
    const size = SIZES[type];
    if (!size || (count > MOST_VALUES && !UNREAD.has(type))) return undefined;
    const at = count * size <= 4 ? entry + 8 : view.getUint32(entry + 8, little);
    if (at + count * size <= view.byteLength) return { type, count, size, at };
    this.cut = true;
    return undefined;
  }

  private value(type: number, at: number): number {
    const { view, little } = this;
    switch (type) {
      case 3:
        return view.getUint16(at, little);
      case 4:
        return view.getUint32(at, little);
      case 5:
        return view.getUint32(at, little) / view.getUint32(at + 4, little);
      case 6:
        return view.getInt8(at);
      case 8:
        return view.getInt16(at, little);
      case 9:
        return view.getInt32(at, little);
      case 10:
        return view.getInt32(at, little) / view.getInt32(at + 4, little);
      case 11:
        return view.getFloat32(at, little);
      case 12:
        return view.getFloat64(at, little);
      default:
        return view.getUint8(at);
    }
  }
}

/** What tags say of how the picture was taken and lies. */
export interface PictureFacts {
  readonly orientation: Orientation;
  readonly resolution?: ResolutionTag;
  readonly focal35?: number;
  /** A camera took it: its exposure or lens is told. A camera's resolution tag means nothing. */
  readonly camera: boolean;
}

export const NO_FACTS: PictureFacts = { orientation: 1, camera: false };

/** Facts of an EXIF block (from its TIFF head on). A block that makes no sense tells nothing. */
export function exifFacts(bytes: Uint8Array): PictureFacts {
  if (!TagReader.begins(bytes)) return NO_FACTS;
  const reader = new TagReader(bytes);
  const main = reader.directories()[0];
  if (main === undefined) return NO_FACTS;
  return tagFacts(main, reader, 'EXIF');
}

export function tagFacts(main: Tags, reader: TagReader, source: 'EXIF' | 'TIFF'): PictureFacts {
  const exifAt = main.get(TAG.exif)?.[0];
  const exif = exifAt === undefined ? undefined : reader.directory(exifAt);
  const resolution = resolutionOf(main, source);
  const focal35 = exif === undefined ? undefined : focalOf(exif);
  return {
    orientation: orientationOf(main.get(TAG.orientation)?.[0]),
    camera: exif?.has(TAG.exposureTime) === true || exif?.has(TAG.focalLength) === true,
    ...(resolution === undefined ? {} : { resolution }),
    ...(focal35 === undefined ? {} : { focal35 }),
  };
}

function orientationOf(value: number | undefined): Orientation {
  return value !== undefined && Number.isInteger(value) && value >= 1 && value <= 8
    ? (value as Orientation)
    : 1;
}

function resolutionOf(tags: Tags, source: 'EXIF' | 'TIFF'): ResolutionTag | undefined {
  const perUnit = tags.get(TAG.xResolution)?.[0];
  const unit = tags.get(TAG.resolutionUnit)?.[0] ?? 2;
  if (perUnit === undefined || unit < 2) return undefined;
  return resolutionTag(
    perUnit / unitMm(unit),
    (tags.get(TAG.yResolution)?.[0] ?? perUnit) / unitMm(unit),
    source,
  );
}

/** Undefined where the tag can't be meant: not a number, not positive, or uneven by over 0.5 %. */
export function resolutionTag(
  across: number,
  down: number,
  source: ResolutionTag['source'],
): ResolutionTag | undefined {
  const fit = Number.isFinite(across) && across > 0 && Math.abs(down / across - 1) <= 0.005;
  return fit ? { pxPerMm: (across + down) / 2, source } : undefined;
}

/** Millimetres in Exif's units of resolution: 2 inch, 3 centimetre, 4 millimetre, 5 micrometre. */
function unitMm(unit: number): number {
  return { 3: 10, 4: 1, 5: 0.001 }[unit] ?? 25.4;
}

/** Diagonal of 36 × 24 mm film, mm: what "35 mm equivalent" refers to (CIPA DCG-001, from memory). */
export const FILM_DIAGONAL = Math.hypot(36, 24);

/** The tag itself, or from the focal length and the sensor's pixels where a camera tells only those. */
function focalOf(exif: Tags): number | undefined {
  const told = exif.get(TAG.focal35)?.[0] ?? 0;
  if (told > 0 && told < 10_000) return told;
  const [focal, perUnit] = [exif.get(TAG.focalLength)?.[0], exif.get(TAG.focalPlaneResolution)?.[0]];
  const [width, height] = [exif.get(TAG.exifWidth)?.[0], exif.get(TAG.exifHeight)?.[0]];
  if (!focal || !perUnit || !width || !height) return undefined;
  const diagonal = Math.hypot(width, height) / (perUnit / unitMm(exif.get(TAG.focalPlaneUnit)?.[0] ?? 2));
  const focal35 = (focal * FILM_DIAGONAL) / diagonal;
  return Number.isFinite(focal35) && focal35 > 5 && focal35 < 2000 ? focal35 : undefined;
}
