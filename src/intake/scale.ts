import type { Cv } from './photoOpencv.ts';
import type { FindScale, Photo, PhotoScale, ScaleSettings } from './photoTypes.ts';
import { findBar, isMade, plainBar } from './scaleBar.ts';
import { imageToPlane } from './scaleMap.ts';
import { findMat } from './scaleMat.ts';
import { pointsScale, tagIsCredible, tagScale, typedScale } from './scalePlain.ts';
import { IntakeError } from './types.ts';

/** Share by which a bar's told length may differ from what a mat says of it. */
const AGREES = 0.05;
const NO_MAT =
  'No scale mat was found: at least four of its markers must be seen whole and sharp, well apart.';
const NO_BAR =
  'No scale bar was found: at least two of its black blocks must be seen whole, of one in a frame at least two of either colour. Give two points and the length between them.';
const TELL_BAR =
  'No scale was found by itself. The picture shows a scale bar: give the length of one of its blocks.';
const TAG_OR_BAR =
  'The picture shows a scale bar that does not agree with the resolution in the file: give the length of one of its blocks.';
const NOTHING =
  'No scale was found: the picture shows no scale mat, and its file tells no resolution that can be trusted. ' +
  'Put a mat or a bar in the picture, or give two points and a length, or pixels in a millimetre.';

/**
 * The scale of a photograph by the method asked for. `auto` takes the best that is there: the mat, else a bar when the
 * length of its blocks is given, else a credible resolution tag. Throws an IntakeError rather than guess.
 */
export const findScale: FindScale = (photo, settings, cv, hooks = {}) => {
  hooks.signal?.throwIfAborted();
  hooks.progress?.(0, 'looking for the scale');
  const scale = byMethod(photo, settings, cv);
  hooks.progress?.(1, 'looking for the scale');
  return scale;
};

function byMethod(photo: Photo, settings: ScaleSettings, cv: Cv): PhotoScale {
  switch (settings.method) {
    case 'typed':
      return typedScale(photo, settings);
    case 'points':
      return pointsScale(photo, settings);
    case 'tag':
      return tagScale(photo);
    case 'mat':
      return findMat(photo, settings, cv) ?? missing(NO_MAT);
    case 'bar':
      return besideMat(findBar(photo, settings, cv) ?? missing(NO_BAR), photo, settings, cv);
    default:
      return bestScale(photo, settings, cv);
  }
}

function bestScale(photo: Photo, settings: ScaleSettings, cv: Cv): PhotoScale {
  const mat = findMat(photo, settings, cv);
  if (mat !== undefined) return mat;
  // Who tells the length of a bar means the bar: a resolution tag does not take its place.
  if (settings.block !== undefined || settings.length !== undefined) {
    return findBar(photo, settings, cv) ?? missing(NO_BAR);
  }
  return unaskedTag(photo, cv);
}

/**
 * A bar by whose told length a mat in the same picture has another scale is not the bar that was meant: most often it is the mat's
 * own. A bar that lies higher than the mat looks larger by a few hundredths at most.
 */
function besideMat(bar: PhotoScale, photo: Photo, settings: ScaleSettings, cv: Cv): PhotoScale {
  const mat = findMat(photo, settings, cv);
  if (mat === undefined || bar.evidence.kind !== 'bar') return bar;
  const { ends, length } = bar.evidence;
  const [x0, y0, x1, y1] = imageToPlane(mat, ends);
  const times = Math.hypot(x1 - x0, y1 - y0) / length;
  if (Math.abs(times - 1) <= AGREES) return bar;
  throw new IntakeError(
    'scale-ambiguous',
    `The picture shows a scale mat, by which the bar that was found is ${times.toFixed(2)} times as long as was told: take the scale of the mat, or give the length of that bar.`,
  );
}

/** The file's resolution when it is credible and no bar in the picture speaks against it. */
function unaskedTag(photo: Photo, cv: Cv): PhotoScale {
  const bar = plainBar(photo, cv);
  const { resolution } = photo;
  if (resolution === undefined || !tagIsCredible(photo))
    return missing(bar === undefined ? NOTHING : TELL_BAR);
  const agrees = bar === undefined || isMade(bar.block / resolution.pxPerMm);
  if (!agrees) throw new IntakeError('scale-ambiguous', TAG_OR_BAR);
  return tagScale(photo);
}

function missing(text: string): never {
  throw new IntakeError('scale-missing', text);
}
