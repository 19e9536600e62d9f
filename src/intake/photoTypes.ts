import type { Hooks, Points2, Warning } from '../geometry/types.ts';
import type { Cv } from './photoOpencv.ts';

/**
 * Two frames meet here.
 *
 * - **Image**: pixels, x right, y down, the centre of the top-left pixel at (0, 0), after EXIF orientation. A pixel
 *   therefore covers ±0.5, and a contour from OpenCV needs no shift.
 * - **Plane**: millimetres on the plane that the piece lies on (the mat's paper, or what the bar lies on), x right,
 *   **y up** as a person sees it, z out of the plane towards the camera. With a mat the origin is the middle of its
 *   clear field and the axes are the mat's own; otherwise the origin is the image's top-left pixel.
 */

export type PhotoFormat = 'jpeg' | 'png' | 'tiff' | 'webp';

/** 8-bit sRGB pixels, four bytes each (R G B A), row by row from the top. */
export interface Pixels {
  readonly width: number;
  readonly height: number;
  readonly rgba: Uint8ClampedArray;
}

/** Pixels made smaller by a whole factor, each the mean of `factor`² pixels of the whole image. */
export interface ReducedPixels extends Pixels {
  /** Full pixels along one side of a reduced one; 1 when nothing was reduced. xFull = (xReduced + 0.5)·factor − 0.5. */
  readonly factor: number;
}

/** EXIF orientation: 1 upright, 2 mirrored, 3 half a turn, 4 flipped, 5–8 the same with width and height swapped. */
export type Orientation = 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8;

/** What the file says of its own resolution. */
export interface ResolutionTag {
  /** Pixels in one millimetre, the same both ways. */
  readonly pxPerMm: number;
  readonly source: 'EXIF' | 'JFIF' | 'pHYs' | 'TIFF';
}

/** What a file tells before any pixel is decoded. Sizes are as stored; `orientation` says how to turn them. */
export interface PhotoHeader {
  readonly format: PhotoFormat;
  readonly width: number;
  readonly height: number;
  readonly orientation: Orientation;
  readonly resolution?: ResolutionTag;
  /** Focal length as on 36 × 24 mm film, mm. */
  readonly focal35?: number;
  /** Whether the file has an alpha channel or a transparent colour. */
  readonly alpha: boolean;
  /** Which image of a TIFF: the one of greatest area, counted from 0. Other formats have one image. */
  readonly page: number;
  /** A camera took it: its exposure or lens is told. A camera's resolution tag means nothing. */
  readonly camera: boolean;
  /** Bytes of the whole EXIF segment or chunk, first and one past the last. */
  readonly exif?: readonly [number, number];
  readonly warnings: readonly Warning[];
}

/**
 * Turns bytes into upright sRGB pixels. Handed in, because a browser's worker and Node decode by different means; both
 * give the same pixels to within rounding. Rejects with an IntakeError for what can't be decoded.
 */
export type PhotoDecoder = (bytes: Uint8Array, header: PhotoHeader) => Promise<Pixels>;

export interface PhotoLimits {
  /** Greatest number of pixels that are decoded. */
  readonly pixels: number;
  /** Greatest side, pixels. */
  readonly side: number;
  /** The reduced image is the largest whole reduction with at most this many pixels. */
  readonly reducedPixels: number;
}

/** A picture fit to be measured once its scale is known. */
export interface Photo extends Pixels {
  readonly kind: 'photo';
  /** The same picture, small: for segmentation coarse to fine. */
  readonly reduced: ReducedPixels;
  /** Alpha is a real mask: some of the picture is clear, some is solid, and little lies between. */
  readonly masked: boolean;
  readonly format: PhotoFormat;
  /** Orientation tag that was honoured. */
  readonly orientation: Orientation;
  readonly resolution?: ResolutionTag;
  /** A camera took it, by EXIF: then the resolution tag means nothing. */
  readonly camera: boolean;
  /** Focal length as on 36 × 24 mm film, mm, by EXIF. */
  readonly focal35?: number;
  readonly warnings: readonly Warning[];
}

/**
 * One radial term, as Brown's model and OpenCV's k1 have it: distorted = centre + (straight − centre)·(1 + k·r²), with
 * r = |straight − centre| / radius.
 */
export interface RadialTerm {
  readonly centreX: number;
  readonly centreY: number;
  /** Pixels for which r = 1: half the image's diagonal. */
  readonly radius: number;
  readonly k: number;
}

/** From image pixels to plane millimetres and back; see `scaleMap.ts` for the functions. */
export interface PlaneMap {
  /** 3 × 3, row by row: straightened image pixels (homogeneous) → plane mm. */
  readonly toPlane: Float64Array;
  /** Its inverse: plane mm → straightened image pixels. */
  readonly toImage: Float64Array;
  readonly radial: RadialTerm;
}

/** Where the camera stood, in the plane's frame. */
export interface CameraStand {
  /** Height of the centre of projection over the plane, mm (Z of the parallax correction). */
  readonly height: number;
  /** Point of the plane straight under the camera, mm. Parallax moves points away from it. */
  readonly footX: number;
  readonly footY: number;
  /** Angle between the optical axis and the plane's normal, degrees. */
  readonly tilt: number;
  /** Focal length, pixels, and where it came from. `assumed`: neither EXIF nor the tilt tells it. */
  readonly focal: number;
  readonly focalSource: 'exif' | 'tilt' | 'assumed';
  /** Relative standard uncertainty of `height`. */
  readonly relative: number;
}

export interface FoundMarker {
  readonly id: number;
  /** Four corners in the image (x y pairs, pixels): the code's own top left, then clockwise on the paper. */
  readonly corners: Points2;
  /** Distance of each corner from where the map puts it, pixels. */
  readonly residuals: Float64Array;
}

export type ScaleMethod = 'mat' | 'bar' | 'points' | 'tag' | 'typed';

/** What the scale was read from. */
export type ScaleEvidence =
  | {
      readonly kind: 'mat';
      readonly paper: MatPaper;
      /** Size on the paper over what it should be, by its bar. */
      readonly printed: number;
      readonly markers: readonly FoundMarker[];
      /** RMS of the residuals over all corners, pixels. */
      readonly rms: number;
    }
  | {
      readonly kind: 'bar';
      /** The two ends on the bar's middle line, image pixels: x0 y0 x1 y1. A person may drag them (then: `points`). */
      readonly ends: Points2;
      /** Length between them, mm, and the length of one block. */
      readonly length: number;
      readonly block: number;
      readonly blocks: number;
      /** RMS of the block edges about an even spacing, pixels. */
      readonly rms: number;
    }
  | { readonly kind: 'points'; readonly ends: Points2; readonly length: number }
  | { readonly kind: 'tag'; readonly source: ResolutionTag['source'] }
  | { readonly kind: 'typed' };

/** How pixels become millimetres, and how well that is known. */
export interface PhotoScale {
  readonly method: ScaleMethod;
  readonly map: PlaneMap;
  /** Pixels in one millimetre at the middle of what was found (mat, bar) or everywhere. */
  readonly pxPerMm: number;
  /** Present with a mat: parallax can be corrected. */
  readonly camera?: CameraStand;
  /** Relative standard uncertainty of a length on the plane, all components together (k = 1). */
  readonly relative: number;
  /** The components that `relative` is made of, each relative. */
  readonly components: Readonly<Record<string, number>>;
  readonly evidence: ScaleEvidence;
  readonly warnings: readonly Warning[];
}

export type MatPaper = 'A4' | 'Letter';

export interface ScaleSettings {
  /** `auto`: mat, else bar (when `block` or `length` is set), else the resolution tag; throws when none is there. */
  readonly method: 'auto' | ScaleMethod;
  /** What the mat's 100 mm bar measures on the paper, mm: tells how true the printer was. Absent: not measured. */
  readonly printedBar?: number;
  /** Standard uncertainty of that reading, mm. */
  readonly printedBarUncertainty: number;
  /** Length of one block of a scale bar, mm. */
  readonly block?: number;
  /** For method `points`: two image points, x0 y0 x1 y1, pixels. */
  readonly points?: readonly [number, number, number, number];
  /** Length between the points, or of a whole bar when that of a block is not told, mm. */
  readonly length?: number;
  /** For method `typed`: pixels in one millimetre. */
  readonly pxPerMm?: number;
  /** Distance of the camera from the plane, mm, if known; for photographs without a mat. */
  readonly cameraDistance?: number;
}

export interface Rectified extends Pixels {
  readonly pxPerMm: number;
  /** Plane position of the centre of the top-left pixel, mm; y falls downward by 1 / pxPerMm a row. */
  readonly left: number;
  readonly top: number;
}

/** A rectangle of the plane, mm. */
export interface PlaneBox {
  readonly left: number;
  readonly right: number;
  readonly bottom: number;
  readonly top: number;
}

/** `readPhoto` in photoRead.ts. Throws an IntakeError with one plain sentence. */
export type ReadPhoto = (
  bytes: Uint8Array,
  decoder: PhotoDecoder,
  limits?: PhotoLimits,
  hooks?: Hooks,
) => Promise<Photo>;

/** `findScale` in scale.ts. Throws an IntakeError (`scale-missing`, `scale-settings`) when no scale can be trusted. */
export type FindScale = (photo: Photo, settings: ScaleSettings, cv: Cv, hooks?: Hooks) => PhotoScale;

/** `rectify` in scaleRectify.ts: the picture as seen straight from above, of a box of the plane, at a chosen scale. */
export type Rectify = (photo: Pixels, scale: PhotoScale, box: PlaneBox, pxPerMm: number) => Rectified;
