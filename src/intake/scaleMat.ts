import { fitHomography, project } from '../geometry/homography.ts';
import { leastSquares, quadraticForm } from '../geometry/leastSquares.ts';
import type { Points2, Warning } from '../geometry/types.ts';
import type { Cv } from './photoOpencv.ts';
import { reduce } from './photoRead.ts';
import type {
  FoundMarker,
  MatPaper,
  Photo,
  PhotoScale,
  PlaneMap,
  RadialTerm,
  ScaleSettings,
} from './photoTypes.ts';
import { type FocalLength, inverseFocalSquare, inverseMap, settleFocal, standOf } from './scaleCamera.ts';
import { localPxPerMm, noRadial, planeToImage } from './scaleMap.ts';
import { findMarkers, type SeenMarker } from './scaleMarkers.ts';
import { MAT_PAPERS, type MatLayout, matLayout } from './scaleMatLayout.ts';
import { IntakeError } from './types.ts';

/** A mat's bar measures this on paper from half to twice as large as it should be, mm. */
const [LEAST_BAR, GREATEST_BAR] = [50, 200];
/** Fewer markers than this do not settle a mat. */
export const FEWEST_MARKERS = 4;
/** With this many markers in the reduced picture no finer one is searched. */
const PLENTY = 10;
/** Pixels of the finer picture that is searched for small markers. */
const FINER_PIXELS = 10_000_000;
/** Farthest that a marker may be from where two others put it, as a share of the half diagonal: lenses bend. */
const ASTRAY = 0.03;
/** Least misfit of a marker's corners at which it is dropped from the fit, pixels. */
const LEAST_ASTRAY = 0.5;
/** The radial term is near 0 with this standard deviation (practice), as if told by a corner good to PRIOR_PX. */
const [PRIOR_K, PRIOR_PX] = [0.05, 0.1];
/** Plane lengths in the fit are in this many mm, so that all its parameters are near 1 in size. */
const UNIT = 100;
/** Relative standard uncertainty of a print whose bar was not measured: half a percent at most, evenly (practice). */
const UNMEASURED = 0.005 / Math.sqrt(3);
/** A scale that is known worse than this from the markers is not given at all. */
const UNSETTLED = 0.005;
/** Corners worse than this on the average mean that the paper is not flat, or that the lens bends otherwise, pixels. */
const UNEVEN_SHARE = 1 / 3000;

/**
 * The scale by a printed mat; undefined where fewer than four of its markers are seen to agree, or where they are seen
 * too badly to settle the scale.
 */
export function findMat(photo: Photo, settings: ScaleSettings, cv: Cv): PhotoScale | undefined {
  const { printedBar = 100 } = settings;
  if (!(printedBar >= LEAST_BAR && printedBar <= GREATEST_BAR)) {
    throw new IntakeError(
      'scale-settings',
      `The mat’s bar must measure ${LEAST_BAR} to ${GREATEST_BAR} mm on the paper; check the reading.`,
    );
  }
  let best = bestPaper(findMarkers(photo, photo.reduced, cv), photo);
  const finer = Math.ceil(Math.sqrt((photo.width * photo.height) / FINER_PIXELS));
  if ((best?.markers.length ?? 0) < PLENTY && finer < photo.reduced.factor) {
    const again = bestPaper(findMarkers(photo, reduce(photo, finer), cv), photo);
    if ((again?.markers.length ?? 0) > (best?.markers.length ?? 0)) best = again;
  }
  return best === undefined ? undefined : scaleByMarkers(best, photo, settings);
}

interface Agreed {
  readonly paper: MatPaper;
  readonly markers: readonly SeenMarker[];
}

/** The paper whose markers agree best, with those markers. */
function bestPaper(seen: readonly SeenMarker[], photo: Photo): Agreed | undefined {
  const radius = Math.hypot(photo.width, photo.height) / 2;
  return MAT_PAPERS.map((paper) => ({ paper, markers: consensus(seen, matLayout(paper), ASTRAY * radius) }))
    .filter(({ markers }) => markers.length >= FEWEST_MARKERS)
    .sort((a, b) => b.markers.length - a.markers.length)[0];
}

/** The most markers that one homography, through two of them, puts within `astray` pixels. */
function consensus(seen: readonly SeenMarker[], layout: MatLayout, astray: number): SeenMarker[] {
  const known = seen.filter(({ id }) => layout.markers.some((marker) => marker.id === id));
  let most: SeenMarker[] = [];
  for (let i = 0; i < known.length; i++) {
    for (let j = i + 1; j < known.length; j++) {
      const pair = [known[i], known[j]];
      const h = fitHomography(planeCorners(pair, layout), imageCorners(pair));
      if (h === undefined) continue;
      const agreeing = known.filter((marker) => {
        const at = planeCorners([marker], layout);
        project(h, at);
        return at.every((value, k) => Math.abs(value - marker.corners[k]) < astray);
      });
      if (agreeing.length > most.length) most = agreeing;
    }
  }
  return most;
}

function planeCorners(markers: readonly { readonly id: number }[], layout: MatLayout): Points2 {
  return Float64Array.from(
    markers.flatMap(({ id }) => [...layout.markers.find((marker) => marker.id === id)!.corners]),
  );
}

function imageCorners(markers: readonly SeenMarker[]): Points2 {
  return Float64Array.from(markers.flatMap(({ corners }) => [...corners]));
}

interface MatFit {
  readonly map: PlaneMap;
  readonly markers: readonly FoundMarker[];
  readonly rms: number;
  readonly parameters: Float64Array;
  /** Covariance of `parameters`. */
  readonly covariance: Float64Array;
  readonly radial: RadialTerm;
}

function scaleByMarkers(
  { paper, markers }: Agreed,
  photo: Photo,
  settings: ScaleSettings,
): PhotoScale | undefined {
  const layout = matLayout(paper);
  const printed = (settings.printedBar ?? 100) / 100;
  const fit = fitMarkers(markers, layout, printed, photo);
  if (fit === undefined || fit.markers.length < FEWEST_MARKERS) return undefined;
  const { map, radial, parameters, covariance } = fit;
  const inverseSquare = (p: Float64Array): number => inverseFocalSquare(mapOf(p, radial).toImage, radial);
  const focal = settleFocal(photo.focal35, radial.radius, {
    value: inverseSquare(parameters),
    u: spread(inverseSquare, parameters, covariance),
  });
  const logScale = (p: Float64Array, place: Points2): number => {
    const own = mapOf(p, radial);
    const [x, y] = planeToImage({ map: own }, place);
    return Math.log(localPxPerMm({ map: own }, x, y));
  };
  // The piece lies somewhere in the field: the worst of its middle and of four places half-way out counts.
  const corners = Math.max(
    ...fieldPlaces(layout).map((place) => spread((p) => logScale(p, place), parameters, covariance)),
  );
  if (!(corners <= UNSETTLED)) return undefined;
  const components = {
    corners,
    print:
      settings.printedBar === undefined ? UNMEASURED : settings.printedBarUncertainty / settings.printedBar,
  };
  return {
    method: 'mat',
    map,
    pxPerMm: Math.exp(logScale(parameters, Float64Array.of(0, 0))),
    camera: standOf(map.toImage, radial, focal),
    relative: Math.hypot(...Object.values(components)),
    components,
    evidence: { kind: 'mat', paper, printed, markers: fit.markers, rms: fit.rms },
    warnings: matWarnings(fit, settings, focal),
  };
}

function fieldPlaces({ field }: MatLayout): Points2[] {
  const [x, y] = [field.right / 2, field.top / 2];
  return [
    [0, 0],
    [x, y],
    [-x, y],
    [x, -y],
    [-x, -y],
  ].map((place) => Float64Array.from(place));
}

/** Fits, and fits again without markers that lie off by far more than the others. */
function fitMarkers(
  markers: readonly SeenMarker[],
  layout: MatLayout,
  printed: number,
  photo: Photo,
): MatFit | undefined {
  let kept = markers;
  for (;;) {
    const fit = fitOnce(kept, layout, printed, photo);
    if (fit === undefined) return undefined;
    const worst = fit.markers.map(({ residuals }) => Math.max(...residuals));
    const median = Float64Array.from(worst).sort()[worst.length >> 1];
    const limit = Math.max(LEAST_ASTRAY, 4 * median);
    const greatest = Math.max(...worst);
    if (greatest <= limit || kept.length <= FEWEST_MARKERS) return fit;
    kept = kept.filter((_, i) => worst[i] < greatest);
  }
}

function fitOnce(
  markers: readonly SeenMarker[],
  layout: MatLayout,
  printed: number,
  photo: Photo,
): MatFit | undefined {
  const radial = noRadial(photo.width, photo.height);
  const plane = planeCorners(markers, layout).map((value) => value * printed);
  const image = imageCorners(markers);
  const first = fitHomography(
    plane.map((value) => value / UNIT),
    normalised(image, radial),
  );
  if (first === undefined) return undefined;
  const count = image.length;
  const fit = leastSquares(
    (p, out) => {
      const seen = planeToImage({ map: mapOf(p, radial) }, plane);
      for (let i = 0; i < count; i++) out[i] = seen[i] - image[i];
      out[count] = (p[8] / PRIOR_K) * PRIOR_PX;
    },
    [...first.slice(0, 8).map((value) => value / first[8]), 0],
    count + 1,
  );
  if (fit === undefined) return undefined;
  // Twice as many residuals as corners; eight parameters of the homography and the radial term are fitted.
  const variance = fit.cost / Math.max(1, count - 8);
  const found = markers.map(({ id, corners }, i) => ({
    id,
    corners,
    residuals: Float64Array.from({ length: 4 }, (_, k) =>
      Math.hypot(fit.residuals[8 * i + 2 * k], fit.residuals[8 * i + 2 * k + 1]),
    ),
  }));
  return {
    map: mapOf(fit.parameters, radial),
    markers: found,
    rms: Math.sqrt((2 * fit.cost) / count),
    parameters: fit.parameters,
    covariance: fit.inverse.map((value) => value * variance),
    radial,
  };
}

/** Eight entries of the homography from units of plane to half diagonals from the middle, and the radial term. */
function mapOf(p: Float64Array, { centreX, centreY, radius }: RadialTerm): PlaneMap {
  const [a, b, c, d, e, f, g, h, k] = p;
  const toImage = Float64Array.of(
    (a * radius + g * centreX) / UNIT,
    (b * radius + h * centreX) / UNIT,
    c * radius + centreX,
    (d * radius + g * centreY) / UNIT,
    (e * radius + h * centreY) / UNIT,
    f * radius + centreY,
    g / UNIT,
    h / UNIT,
    1,
  );
  return { toImage, toPlane: inverseMap(toImage), radial: { centreX, centreY, radius, k } };
}

function normalised(image: Points2, { centreX, centreY, radius }: RadialTerm): Points2 {
  return image.map((value, i) => (value - ((i & 1) === 0 ? centreX : centreY)) / radius);
}

/** Standard uncertainty of a quantity of the fitted parameters, to first order (JCGM 100:2008, 5.2.2). */
function spread(quantity: (p: Float64Array) => number, p: Float64Array, covariance: Float64Array): number {
  const step = 1e-6;
  const gradient = p.map((value, i) => {
    const [above, below] = [Float64Array.from(p), Float64Array.from(p)];
    above[i] = value + step;
    below[i] = value - step;
    return (quantity(above) - quantity(below)) / (2 * step);
  });
  return Math.sqrt(Math.max(0, quadraticForm(covariance, gradient)));
}

function matWarnings(fit: MatFit, { printedBar }: ScaleSettings, focal: FocalLength): Warning[] {
  const warnings: Warning[] = [];
  if (printedBar === undefined) {
    warnings.push({
      code: 'mat-unchecked',
      text: 'The mat’s bar was taken to measure 100.0 mm on the paper; measure it, because printers often shrink a page.',
    });
  }
  if (fit.rms > Math.max(0.5, UNEVEN_SHARE * fit.radial.radius)) {
    warnings.push({
      code: 'mat-uneven',
      text: `The mat’s markers lie ${fit.rms.toFixed(1)} pixels off on the average: the paper may not be flat.`,
    });
  }
  if (focal.contradicted) {
    warnings.push({
      code: 'focal-length-contradicted',
      text: 'The focal length in the file does not fit the mat’s perspective: the picture was cropped, so the camera’s height is from the mat alone.',
    });
  }
  if (focal.source === 'assumed') {
    warnings.push({
      code: 'camera-height-assumed',
      text: 'The camera’s height was worked out from a usual lens, because neither EXIF nor the tilt tells its focal length.',
    });
  }
  return warnings;
}
