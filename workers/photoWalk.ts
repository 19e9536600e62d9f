import type { Hooks } from '../src/geometry/types.ts';
import type { Cv } from '../src/intake/photoOpencv.ts';
import { readPhoto } from '../src/intake/photoRead.ts';
import type { Photo, PhotoDecoder, PhotoScale } from '../src/intake/photoTypes.ts';
import { findScale } from '../src/intake/scale.ts';
import { measure } from '../src/measures/measure.ts';
import type { MeasureResult } from '../src/measures/types.ts';
import { baseName } from '../src/record/measureScan.ts';
import type { SpecimenRecord } from '../src/record/schema.ts';
import type { AllSettings } from '../src/record/settings.ts';
import { sha256Hex } from '../src/record/sha256.ts';
import { type FileFacts, photoSource, toRecord } from '../src/record/toRecord.ts';
import type { DrawnSteps } from '../src/trace/photoCorrections.ts';
import type { PhotoPiece } from '../src/trace/photoPieces.ts';
import { DEFAULT_PHOTO_SETTINGS } from '../src/trace/settings.ts';
import {
  candidatesOf,
  knownPlaces,
  type TracedPhoto,
  tracePhoto,
  withCorrections,
} from '../src/trace/tracePhoto.ts';

/** One stage's last answer and what it was made from. */
interface Kept<T> {
  readonly key: string;
  readonly value: T;
}

/**
 * The walk of a photograph, stage by stage, keeping the costly answers: the pixels, the scale, and what stands off the
 * backdrop. Another candidate, a turned axis or swapped ends need none of them again. The record is the same as
 * measurePhoto makes from the same bytes and settings.
 */
export class PhotoWalk {
  readonly fileName: string;
  readonly #file: Blob;
  readonly #decode: PhotoDecoder;
  #facts: FileFacts | undefined;
  #photo: Photo | undefined;
  #scale: Kept<PhotoScale> | undefined;
  #candidates: Kept<PhotoPiece[]> | undefined;
  readonly #drawn: DrawnSteps = new WeakMap();

  constructor(file: Blob, fileName: string, decode: PhotoDecoder) {
    this.#file = file;
    this.fileName = fileName;
    this.#decode = decode;
  }

  async read(hooks: Hooks): Promise<Photo> {
    if (this.#photo !== undefined) return this.#photo;
    const bytes = new Uint8Array(await this.#file.arrayBuffer());
    this.#facts = {
      file: baseName(this.fileName),
      sha256: await sha256Hex(bytes),
      bytes: bytes.byteLength,
    };
    hooks.signal?.throwIfAborted();
    this.#photo = await readPhoto(bytes, this.#decode, undefined, hooks);
    return this.#photo;
  }

  scale(photo: Photo, settings: AllSettings, cv: Cv, hooks: Hooks): PhotoScale {
    const { piece: _, thickness: __, corrections: ___, ...asked } = settings.photo ?? DEFAULT_PHOTO_SETTINGS;
    const key = JSON.stringify(asked);
    if (this.#scale?.key === key) return this.#scale.value;
    this.#scale = { key, value: findScale(photo, asked, cv, hooks) };
    return this.#scale.value;
  }

  /** Sought again only when the scale tells of other things in the picture: a mat's field, a bar. */
  candidates(photo: Photo, scale: PhotoScale, cv: Cv, hooks: Hooks): readonly PhotoPiece[] {
    const { field, bar } = knownPlaces(scale);
    const key = JSON.stringify([field && [...field], bar && [...bar]]);
    if (this.#candidates?.key === key) return this.#candidates.value;
    this.#candidates = { key, value: candidatesOf(photo, scale, cv, hooks) };
    return this.#candidates.value;
  }

  trace(
    photo: Photo,
    candidates: readonly PhotoPiece[],
    scale: PhotoScale,
    settings: AllSettings,
  ): TracedPhoto {
    const asked = settings.photo ?? DEFAULT_PHOTO_SETTINGS;
    return tracePhoto(withCorrections(candidates, asked, photo, this.#drawn), scale, asked, settings.trace);
  }

  measure({ model }: TracedPhoto, settings: AllSettings, hooks: Hooks): MeasureResult {
    return measure(model, settings.measure, hooks);
  }

  record(
    photo: Photo,
    scale: PhotoScale,
    traced: TracedPhoto,
    result: MeasureResult,
    settings: AllSettings,
  ): SpecimenRecord {
    if (this.#facts === undefined) throw new Error('record before read');
    return toRecord({
      source: photoSource(this.#facts, photo, scale, traced),
      model: traced.model,
      result,
      settings: { ...settings, photo: settings.photo ?? DEFAULT_PHOTO_SETTINGS },
      catalogue: {},
      warnings: [...photo.warnings, ...scale.warnings],
    });
  }
}
