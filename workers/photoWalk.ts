import { majorAxis, polygonMoments } from '../src/geometry/polygonMoments.ts';
import type { Hooks, Points2 } from '../src/geometry/types.ts';
import type { Cv } from '../src/intake/photoOpencv.ts';
import { readPhoto } from '../src/intake/photoRead.ts';
import type { Photo, PhotoDecoder, PhotoScale } from '../src/intake/photoTypes.ts';
import { findScale } from '../src/intake/scale.ts';
import { findMat } from '../src/intake/scaleMat.ts';
import { DEFAULT_SCALE_SETTINGS } from '../src/intake/settings.ts';
import { measure } from '../src/measures/measure.ts';
import type { MeasureResult } from '../src/measures/types.ts';
import { heightDoubts } from '../src/record/heightDoubts.ts';
import { baseName } from '../src/record/measureScan.ts';
import { type WithViews, wireOf } from '../src/record/photoViews.ts';
import type { SpecimenRecord } from '../src/record/schema.ts';
import type { AllSettings } from '../src/record/settings.ts';
import { sha256Hex } from '../src/record/sha256.ts';
import { type FileFacts, photoSource, toRecord } from '../src/record/toRecord.ts';
import { settingsInRecord, toldOfView } from '../src/record/viewSettings.ts';
import { wireThrough } from '../src/trace/liveWire.ts';
import type { MarginHeight } from '../src/trace/marginHeight.ts';
import type { DrawnSteps } from '../src/trace/photoCorrections.ts';
import { type PhotoPiece, piecesOfPhoto } from '../src/trace/photoPieces.ts';
import type { KnownPlaces } from '../src/trace/photoSegment.ts';
import { DEFAULT_PHOTO_SETTINGS } from '../src/trace/settings.ts';
import {
  candidatesOf,
  chosenPiece,
  knownPlaces,
  type TracedPhoto,
  tracePhoto,
  withCorrections,
} from '../src/trace/tracePhoto.ts';
import type { PhotoSettings, ViewName } from '../src/trace/types.ts';

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
  #wire: Kept<Points2 | undefined> | undefined;

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

  /** Pixels that are held; 0 while there are none. */
  get held(): number {
    return this.#photo === undefined ? 0 : this.#photo.width * this.#photo.height;
  }

  /** Lets go of the pixels, which are read again when they are needed; what was found in them stays. */
  letGo(): void {
    this.#photo = undefined;
  }

  /** What is known of the file once it was read. */
  get facts(): FileFacts {
    if (this.#facts === undefined) throw new Error('asked before it was read');
    return this.#facts;
  }

  scale(photo: Photo, settings: PhotoSettings, cv: Cv, hooks: Hooks): PhotoScale {
    const { piece: _, thickness: __, corrections: ___, views: ____, flipEdgeOn: _____, ...asked } = settings;
    const key = JSON.stringify(asked);
    if (this.#scale?.key === key) return this.#scale.value;
    this.#scale = { key, value: findScale(photo, asked, cv, hooks) };
    return this.#scale.value;
  }

  /** Sought again only when the scale tells of other things in the picture: a mat's field, a bar. */
  candidates(photo: Photo, scale: PhotoScale, cv: Cv, hooks: Hooks): readonly PhotoPiece[] {
    const key = placesKey(knownPlaces(scale));
    if (this.#candidates?.key === key) return this.#candidates.value;
    this.#candidates = { key, value: candidatesOf(photo, scale, cv, hooks) };
    return this.#candidates.value;
  }

  /** Width over length of the likeliest piece, on a mat if one is seen, by its second moments; null where nothing looks like one. */
  slenderness(photo: Photo, cv: Cv): number | null {
    if (this.#candidates === undefined) {
      const mat = findMat(photo, DEFAULT_SCALE_SETTINGS, cv);
      const known = mat === undefined ? {} : knownPlaces(mat);
      this.#candidates = { key: placesKey(known), value: piecesOfPhoto(photo, known, cv) };
    }
    const piece = this.#candidates.value.find(({ kind }) => kind === 'piece');
    if (piece === undefined) return null;
    return 1 / Math.sqrt(majorAxis(polygonMoments([piece.ring])).ratio);
  }

  /** The winding edge through what was clicked in a view; traced again only when that or the outline changes. */
  wire(
    photo: Photo,
    candidates: readonly PhotoPiece[],
    told: PhotoSettings,
    view: ViewName,
  ): Points2 | undefined {
    const { edge, piece } = toldOfView(told, view);
    const key = JSON.stringify([edge, piece, this.#candidates?.key]);
    if (this.#wire?.key !== key) this.#wire = { key, value: wireOf(photo, candidates, told, view) };
    return this.#wire.value;
  }

  /** A line that is tried out, as `wire` would trace it; null before the picture was looked at. */
  tryWire(clicks: readonly number[], piece: number): Points2 | null {
    if (this.#photo === undefined || this.#candidates === undefined) return null;
    return wireThrough(this.#photo, clicks, chosenPiece(this.#candidates.value, piece).ring);
  }

  trace(
    photo: Photo,
    candidates: readonly PhotoPiece[],
    scale: PhotoScale,
    settings: AllSettings,
    height?: MarginHeight,
  ): TracedPhoto {
    const asked = settings.photo ?? DEFAULT_PHOTO_SETTINGS;
    return tracePhoto(this.corrected(candidates, asked, photo), scale, asked, settings.trace, {
      ...(height && { height }),
    });
  }

  /** The candidates with what a person drew into the one that is measured. */
  corrected(candidates: readonly PhotoPiece[], settings: PhotoSettings, photo: Photo): readonly PhotoPiece[] {
    return withCorrections(candidates, settings, photo, this.#drawn);
  }

  measure({ model }: TracedPhoto, settings: AllSettings, hooks: Hooks): MeasureResult {
    return measure(model, settings.measure, hooks);
  }

  record(
    photo: Photo,
    scale: PhotoScale,
    { traced, kept, warnings }: Pick<WithViews, 'traced' | 'kept' | 'warnings'>,
    result: MeasureResult,
    settings: AllSettings,
  ): SpecimenRecord {
    const measured = kept.map(({ view }) => view);
    return toRecord({
      source: photoSource(this.facts, photo, scale, traced, kept),
      model: traced.model,
      result,
      settings: settingsInRecord(settings, 'photo', measured),
      catalogue: {},
      warnings: [...photo.warnings, ...scale.warnings, ...heightDoubts(traced, scale), ...warnings],
    });
  }
}

function placesKey({ field, bar }: KnownPlaces): string {
  return JSON.stringify([field && [...field], bar && [...bar]]);
}
