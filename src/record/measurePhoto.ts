import type { Hooks } from '../geometry/types.ts';
import type { Cv } from '../intake/photoOpencv.ts';
import { readPhoto } from '../intake/photoRead.ts';
import type { Photo, PhotoDecoder, PhotoScale } from '../intake/photoTypes.ts';
import { findScale } from '../intake/scale.ts';
import { measure } from '../measures/measure.ts';
import type { MeasureResult } from '../measures/types.ts';
import { DEFAULT_PHOTO_SETTINGS } from '../trace/settings.ts';
import { candidatesOf, type TracedPhoto, tracePhoto, withCorrections } from '../trace/tracePhoto.ts';
import type { PhotoSettings, ViewName } from '../trace/types.ts';
import { heightDoubts } from './heightDoubts.ts';
import { marginHeights } from './marginHeights.ts';
import { baseName, share } from './measureScan.ts';
import { addViews, inView, type SeenPhoto, type SeenView, wireOf } from './photoViews.ts';
import type { Catalogue, SpecimenRecord } from './schema.ts';
import type { AllSettings } from './settings.ts';
import { sha256Hex } from './sha256.ts';
import { photoSource, toRecord } from './toRecord.ts';
import { settingsInRecord, settingsOfView } from './viewSettings.ts';

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
  /** Face B, traced as seen through the piece, where a photograph shows it with the outline of Face A. */
  readonly faceB?: { readonly photo: Photo; readonly scale: PhotoScale; readonly traced: TracedPhoto };
}

/** A further photograph of the piece. */
export interface ViewFile {
  readonly view: ViewName;
  readonly bytes: Uint8Array;
  readonly fileName: string;
}

/**
 * The whole walk of a photograph, from the bytes of a file to its record. `fileName` is kept without folders. `views`
 * are more photographs of the piece; each has the scale of the first unless it was told one of its own. Throws IntakeError, TraceError or RecordError
 * with one plain sentence; an aborted signal throws its reason.
 */
export async function measurePhoto(
  bytes: Uint8Array,
  fileName: string,
  settings: AllSettings,
  tools: PhotoTools,
  hooks: Hooks = {},
  catalogue: Catalogue = {},
  views: readonly ViewFile[] = [],
): Promise<MeasuredPhoto> {
  const photoSettings = settings.photo ?? DEFAULT_PHOTO_SETTINGS;
  const each = 0.9 / (1 + views.length);
  const seen = await seePhoto(bytes, fileName, photoSettings, tools, share(hooks, 0, each));
  const { photo, scale } = seen;
  const candidates = withCorrections(seen.candidates, photoSettings, photo);
  const first = tracePhoto(candidates, scale, photoSettings, settings.trace);
  const further: SeenView[] = [];
  for (const [index, view] of views.entries()) {
    const span = share(hooks, each * (index + 1), each * (index + 2));
    const other = await inView(view.view, () =>
      seePhoto(view.bytes, view.fileName, settingsOfView(photoSettings, view.view), tools, span),
    );
    const corrected = await inView(view.view, () =>
      withCorrections(other.candidates, settingsOfView(photoSettings, view.view), other.photo),
    );
    const wire = await inView(view.view, () => wireOf(other.photo, corrected, photoSettings, view.view));
    further.push({
      ...other,
      candidates: corrected,
      view: view.view,
      ...(wire === undefined ? {} : { wire }),
    });
  }
  const { a, b } = await marginHeights(photoSettings, first, scale, further, settings.trace);
  const faceA = a ? tracePhoto(candidates, scale, photoSettings, settings.trace, { height: a }) : first;
  const { traced, kept, places, warnings } = await addViews(faceA, further, photoSettings, settings.trace, b);
  const result = measure(traced.model, settings.measure, share(hooks, 0.9, 1));
  const record = toRecord({
    source: photoSource(seen.file, photo, scale, traced, kept),
    model: traced.model,
    result,
    settings: settingsInRecord(
      settings,
      'photo',
      kept.map(({ view }) => view),
    ),
    catalogue,
    warnings: [...photo.warnings, ...scale.warnings, ...heightDoubts(traced, scale), ...warnings],
  });
  const face = places.find(({ view }) => view === 'B')?.face;
  const seenB = further.find(({ view }) => view === 'B');
  const faceB = face && seenB && { photo: seenB.photo, scale: seenB.scale, traced: face };
  return { record, photo, scale, traced, result, ...(faceB && { faceB }) };
}

async function seePhoto(
  bytes: Uint8Array,
  fileName: string,
  settings: PhotoSettings,
  { decode, cv }: PhotoTools,
  hooks: Hooks,
): Promise<SeenPhoto> {
  const sha256 = await sha256Hex(bytes);
  const photo = await readPhoto(bytes, decode, undefined, share(hooks, 0, 0.4));
  const scale = findScale(photo, settings, cv, share(hooks, 0.4, 0.6));
  const candidates = candidatesOf(photo, scale, cv, share(hooks, 0.6, 1));
  return { file: { file: baseName(fileName), sha256, bytes: bytes.byteLength }, photo, scale, candidates };
}
