import type { Points2, Warning } from '../geometry/types.ts';
import type { Photo, PhotoScale, ScaleEvidence, ScaleMethod, ScaleSettings } from './photoTypes.ts';
import { focalPixels } from './scaleCamera.ts';
import { evenMap } from './scaleMap.ts';
import { IntakeError } from './types.ts';
import { count } from './wording.ts';

/** Relative standard uncertainties that nothing in the picture tells (practice, no source). */
export const UNTOLD = {
  /** A bar or ruler as it is made or printed. */
  made: 0.001,
  /** A camera held square by eye leans by about 3°: lengths along the lean shrink by 1 − cos 3°. */
  lean: 1 - Math.cos((3 * Math.PI) / 180),
  /** A flatbed's carriage and lens. */
  scanner: 0.002,
  /** A number that a person typed. */
  typed: 0.002,
};
/** A person places a point to this many pixels (practice). */
const CLICK = 1;
/** Tags below this resolution are what programs write when they know nothing: 72 and 96 dots an inch. */
const LOWEST_TAG = 140 / 25.4;
/** No common flatbed is longer, mm: a picture that claims more was not scanned on one. */
const LONGEST_FLATBED = 460;

/** Whoever asks for the tag has another scanner, of plans or of slides: what even those don't see is no scan, mm. */
const [SHORTEST_SCAN, LONGEST_SCAN] = [1, 3000];

interface PlainScale {
  readonly method: ScaleMethod;
  readonly pxPerMm: number;
  readonly components: Readonly<Record<string, number>>;
  readonly evidence: ScaleEvidence;
  readonly warnings: readonly Warning[];
}

/** A scale that is the same all over the picture. */
export function evenScale(photo: Photo, plain: PlainScale): PhotoScale {
  return {
    ...plain,
    map: evenMap(plain.pxPerMm, photo.width, photo.height),
    relative: Math.hypot(...Object.values(plain.components)),
  };
}

/** The scale by pixels in a millimetre that a person typed. Throws an IntakeError where the number can't be used. */
export function typedScale(photo: Photo, settings: ScaleSettings): PhotoScale {
  const { pxPerMm } = settings;
  if (pxPerMm === undefined || !(pxPerMm > 0) || !Number.isFinite(pxPerMm)) {
    throw new IntakeError('scale-settings', 'The pixels in a millimetre must be a number above 0.');
  }
  return evenScale(photo, {
    method: 'typed',
    pxPerMm,
    components: { typed: UNTOLD.typed },
    evidence: { kind: 'typed' },
    warnings: parallaxWarnings(photo, pxPerMm, settings.cameraDistance),
  });
}

/** The scale by two places in the picture and the length between them. Throws an IntakeError without either. */
export function pointsScale(photo: Photo, settings: ScaleSettings): PhotoScale {
  const { points, length } = settings;
  if (points === undefined || length === undefined || !(length > 0) || !Number.isFinite(length)) {
    throw new IntakeError('scale-settings', 'Two points and the length between them, in mm, must be given.');
  }
  const [x0, y0, x1, y1] = points;
  const pixels = Math.hypot(x1 - x0, y1 - y0);
  if (!(pixels >= 10))
    throw new IntakeError('scale-settings', 'The two points of the scale lie too near together.');
  const pxPerMm = pixels / length;
  return evenScale(photo, {
    method: 'points',
    pxPerMm,
    components: { points: (CLICK * Math.SQRT2) / pixels, made: UNTOLD.made, lean: UNTOLD.lean },
    evidence: { kind: 'points', ends: Float64Array.from(points) as Points2, length },
    warnings: parallaxWarnings(photo, pxPerMm, settings.cameraDistance),
  });
}

/** The scale by the file's own resolution tag. Throws an IntakeError when it has none, or one that no scanner means. */
export function tagScale(photo: Photo): PhotoScale {
  const { resolution, width, height } = photo;
  if (resolution === undefined) {
    throw new IntakeError('scale-missing', 'The file tells no resolution that could serve as a scale.');
  }
  const dots = `${count(Math.round(resolution.pxPerMm * 25.4), 'dot')} an inch`;
  const longest = Math.max(width, height) / resolution.pxPerMm;
  if (!(longest >= SHORTEST_SCAN && longest <= LONGEST_SCAN)) {
    throw new IntakeError(
      'scale-missing',
      `The file’s own resolution (${dots}) would make the picture ${longest < 10 ? longest.toPrecision(2) : Math.round(longest)} mm long, which no scanner sees: type the pixels in a millimetre.`,
    );
  }
  return evenScale(photo, {
    method: 'tag',
    pxPerMm: resolution.pxPerMm,
    components: { scanner: UNTOLD.scanner },
    evidence: { kind: 'tag', source: resolution.source },
    warnings: [
      {
        code: 'scale-from-tag',
        text: `The scale is the file’s own resolution (${dots}), ${
          isCameras(photo)
            ? 'but a camera took the picture, and cameras write a number out of habit: it says nothing of the size of things unless somebody set it right.'
            : 'which is true for a flatbed scan only.'
        }`,
      },
    ],
  });
}

/**
 * Whether a tag may be taken without being asked for: not a camera's, not the number that programs write when they know
 * nothing, and not of a page larger than a flatbed's.
 */
export function tagIsCredible(photo: Photo): boolean {
  const { resolution, width, height } = photo;
  return (
    resolution !== undefined &&
    !isCameras(photo) &&
    resolution.pxPerMm >= LOWEST_TAG &&
    Math.max(width, height) / resolution.pxPerMm <= LONGEST_FLATBED
  );
}

/** Whether a camera took the picture: what it writes of dots an inch is a number out of habit. */
function isCameras({ camera, focal35 }: Photo): boolean {
  return camera || focal35 !== undefined;
}

/** Relative excess of a length seen at `height` mm over the plane from `distance` mm: Z/(Z − h) − 1. */
export function parallaxExcess(height: number, distance: number): number {
  return height / (distance - height);
}

/** How large the uncorrected parallax could be. The distance is told, or follows from the focal length and the scale. */
export function parallaxWarnings(photo: Photo, pxPerMm: number, told: number | undefined): Warning[] {
  const { focal35, width, height } = photo;
  const worked =
    focal35 === undefined ? undefined : focalPixels(focal35, Math.hypot(width, height) / 2) / pxPerMm;
  const distance = told ?? worked;
  const at = (z: number): string =>
    `a margin 5 mm above the scale looks ${(100 * parallaxExcess(5, z)).toFixed(1)} % too large from ${Math.round(z)} mm`;
  const text =
    distance === undefined || !(distance > 20)
      ? `Parallax is not corrected without a mat: ${at(400)}, less from farther away.`
      : `Parallax is not corrected without a mat: ${at(distance)}${told === undefined ? ' (by the lens’s focal length)' : ''}.`;
  return [{ code: 'parallax-uncorrected', text }];
}
