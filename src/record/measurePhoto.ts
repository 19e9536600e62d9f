import type { Hooks } from '../geometry/types.ts';
import type { Cv } from '../intake/photoOpencv.ts';
import { readPhoto } from '../intake/photoRead.ts';
import type { Photo, PhotoDecoder, PhotoScale } from '../intake/photoTypes.ts';
import { findScale } from '../intake/scale.ts';
import { measure } from '../measures/measure.ts';
import type { MeasureResult } from '../measures/types.ts';
import { DEFAULT_PHOTO_SETTINGS } from '../trace/settings.ts';
import { candidatesOf, type TracedPhoto, tracePhoto } from '../trace/tracePhoto.ts';
import { baseName, sha256Hex, share } from './measureScan.ts';
import type { Catalogue, SpecimenRecord } from './schema.ts';
import type { AllSettings } from './settings.ts';
import { photoSource, toRecord } from './toRecord.ts';

/** What Node and a browser do by different means. `cv` is boxed: OpenCV's object has a `then`. */
export interface PhotoTools {
  readonly decode: PhotoDecoder;
  readonly cv: Cv;
}

/** A photograph measured: the record, and what it was made from for those who draw. */
export interface MeasuredPhoto {
  readonly record: SpecimenRecord;
  readonly photo: Photo;
  readonly scale: PhotoScale;
  readonly traced: TracedPhoto;
  readonly result: MeasureResult;
}

/**
 * The whole walk of a photograph, from the bytes of a file to its record. `fileName` is kept without folders.
 * Throws IntakeError, TraceError or RecordError with one plain sentence; an aborted signal throws its reason.
 */
export async function measurePhoto(
  bytes: Uint8Array,
  fileName: string,
  settings: AllSettings,
  { decode, cv }: PhotoTools,
  hooks: Hooks = {},
  catalogue: Catalogue = {},
): Promise<MeasuredPhoto> {
  const photoSettings = settings.photo ?? DEFAULT_PHOTO_SETTINGS;
  const sha256 = await sha256Hex(bytes);
  const photo = await readPhoto(bytes, decode, undefined, share(hooks, 0, 0.3));
  const scale = findScale(photo, photoSettings, cv, share(hooks, 0.3, 0.5));
  const candidates = candidatesOf(photo, scale, cv, share(hooks, 0.5, 0.9));
  const traced = tracePhoto(candidates, scale, photoSettings, settings.trace);
  const { model } = traced;
  const result = measure(model, settings.measure, share(hooks, 0.9, 1));
  const file = { file: baseName(fileName), sha256, bytes: bytes.byteLength };
  const record = toRecord({
    source: photoSource(file, photo, scale, traced),
    model,
    result,
    settings: { ...settings, photo: photoSettings },
    catalogue,
    warnings: [...photo.warnings, ...scale.warnings],
  });
  return { record, photo, scale, traced, result };
}
