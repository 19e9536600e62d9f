import type { Hooks, Warning } from '../geometry/types.ts';
import type { Cv } from '../intake/photoOpencv.ts';
import { readPhoto } from '../intake/photoRead.ts';
import type { Photo, PhotoDecoder, PhotoScale } from '../intake/photoTypes.ts';
import { findScale } from '../intake/scale.ts';
import { IntakeError } from '../intake/types.ts';
import { measure } from '../measures/measure.ts';
import type { MeasureResult } from '../measures/types.ts';
import { traceEdgeOn } from '../trace/edgeOn.ts';
import { outlineDifference } from '../trace/faceRepeat.ts';
import type { PhotoPiece } from '../trace/photoPieces.ts';
import { DEFAULT_PHOTO_SETTINGS } from '../trace/settings.ts';
import {
  candidatesOf,
  silhouetteOf,
  type TracedPhoto,
  tracePhoto,
  withCorrections,
} from '../trace/tracePhoto.ts';
import type { PhotoSettings, TraceSettings } from '../trace/types.ts';
import { baseName, share } from './measureScan.ts';
import type { Catalogue, PhotoView, SpecimenRecord } from './schema.ts';
import type { AllSettings } from './settings.ts';
import { sha256Hex } from './sha256.ts';
import { type FileFacts, photoSource, toRecord } from './toRecord.ts';

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

/** A further photograph of the piece. */
export interface ViewFile {
  readonly view: PhotoView['view'];
  readonly bytes: Uint8Array;
  readonly fileName: string;
}

/** Two outlines of one piece that lie farther apart than this share of its length may not be of one piece. */
const ALIKE = 0.01;

/**
 * The whole walk of a photograph, from the bytes of a file to its record. `fileName` is kept without folders. `views`
 * are more photographs of the piece, under the same settings of scale. Throws IntakeError, TraceError or RecordError
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
  let traced = tracePhoto(candidates, scale, photoSettings, settings.trace);
  const warnings = [...photo.warnings, ...scale.warnings];
  const kept: PhotoView[] = [];
  for (const [index, view] of views.entries()) {
    const span = share(hooks, each * (index + 1), each * (index + 2));
    const other = await named(view, () =>
      seePhoto(view.bytes, view.fileName, { ...photoSettings, piece: 1 }, tools, span),
    );
    const told = addView(traced, view.view, other, photoSettings, settings.trace);
    traced = told.traced;
    warnings.push(...told.warnings);
    const { method, pxPerMm, relative } = other.scale;
    const difference = told.difference === undefined ? {} : { difference: told.difference };
    kept.push({ ...other.file, view: view.view, method, pxPerMm, u: relative, ...difference });
  }
  const result = measure(traced.model, settings.measure, share(hooks, 0.9, 1));
  const record = toRecord({
    source: photoSource(seen.file, photo, scale, traced, kept),
    model: traced.model,
    result,
    settings: { ...settings, photo: photoSettings },
    catalogue,
    warnings,
  });
  return { record, photo, scale, traced, result };
}

interface SeenPhoto {
  readonly file: FileFacts;
  readonly photo: Photo;
  readonly scale: PhotoScale;
  readonly candidates: readonly PhotoPiece[];
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

/** A fault in a further photograph says which one it is in. */
async function named<T>({ view }: ViewFile, see: () => Promise<T>): Promise<T> {
  try {
    return await see();
  } catch (error) {
    if (error instanceof IntakeError) throw new IntakeError(error.code, `View ${view}: ${error.message}`);
    throw error;
  }
}

interface AddedView {
  readonly traced: TracedPhoto;
  readonly warnings: readonly Warning[];
  readonly difference?: number;
}

function addView(
  traced: TracedPhoto,
  view: PhotoView['view'],
  { scale, candidates }: SeenPhoto,
  settings: PhotoSettings,
  trace: TraceSettings,
): AddedView {
  const { model } = traced;
  if (view === 'B') {
    const other = tracePhoto(candidates, scale, { ...settings, piece: 1 }, trace, true);
    const difference = outlineDifference(model.outline.outer, other.model.outline.outer, model.length);
    const quality = { ...model.quality, tracing: difference / Math.SQRT2 };
    const warnings: Warning[] =
      difference <= ALIKE * model.length
        ? []
        : [
            {
              code: 'faces-differ',
              text: `The outlines of Face A and Face B lie ${difference.toFixed(2)} mm apart: check that both photographs show one piece at the right scale.`,
            },
          ];
    return { traced: { ...traced, model: { ...model, quality } }, warnings, difference };
  }
  const width = Math.max(...model.midline.rightX) - Math.min(...model.midline.leftX);
  // Edge-on the silhouette stands half a width over the plane.
  const ring = silhouetteOf(candidates, scale, width / 2);
  const { edgeOn, warnings } = traceEdgeOn(
    ring,
    view,
    model.length,
    trace.stations,
    settings.flipEdgeOn === true,
  );
  return { traced: { ...traced, model: { ...model, edgeOn } }, warnings };
}
