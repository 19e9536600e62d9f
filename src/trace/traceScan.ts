import { type AlikeNoise, alikeNoise } from '../geometry/alikeNoise.ts';
import {
  type Basis,
  dot,
  scaled,
  toBasis,
  transformMesh,
  transformPoints,
  turned,
} from '../geometry/basis.ts';
import { calmBand } from '../geometry/calmBand.ts';
import { planarCurve } from '../geometry/curvePlanar.ts';
import type { LineSpread } from '../geometry/lineSpread.ts';
import { polygonMoments } from '../geometry/polygonMoments.ts';
import { ringRoughness } from '../geometry/ringRoughness.ts';
import { Silhouette } from '../geometry/silhouette.ts';
import { surfaceMoments } from '../geometry/surfaceMoments.ts';
import { type SurfaceNoise, surfaceNoise } from '../geometry/surfaceNoise.ts';
import type { Vector3 } from '../geometry/symmetricEigen.ts';
import type { Hooks, Points2, Points3, Warning } from '../geometry/types.ts';
import { splitVolume } from '../geometry/volume.ts';
import { wallHeights } from '../geometry/wallHeights.ts';
import { MM_PER_UNIT, type Scan } from '../intake/types.ts';
import { orderMargin } from './marginLine.ts';
import { apart, type Rim, settleMarginPlane } from './marginPlane.ts';
import { choosePlanAxis, layPlan, nudged, type PlanChoice, seenFromBehind } from './planFrame.ts';
import {
  type Frame,
  type Model,
  type PointErrors,
  type ScanQuality,
  TraceError,
  type TraceSettings,
} from './types.ts';

/** Denoising never fits a line over more than this share of the piece's size to either side. */
const WIDEST_SHARE = 0.03;
/** Noise below this share of the mean edge moves no outline. */
const NOISE_THAT_MATTERS = 0.01;
/** Noise above this share of the mean edge roughens the surface at the size of its triangles: normals say little then. */
const NOISE_TOO_COARSE = 0.24;
/** Degrees within which the margin plane must rest: at last, and before noise is taken off. */
const SETTLED = 0.01;
const NEARLY_SETTLED = 0.3;
/** A rim is a wall where steep surface within WALL_REACH in plan is taller than LEAST_WALL; both in mean edges. */
const WALL_REACH = 1.5;
const LEAST_WALL = 2;

/**
 * Scan → Model: margin plane, faces, length axis, outline, midline, margin; the mesh in the specimen frame.
 * Pure; the scan stays untouched. Throws TraceError where the shape has no plan to trace.
 */
export function traceScan(scan: Scan, settings: TraceSettings, hooks: Hooks = {}): Model {
  const warnings: Warning[] = [];
  hooks.progress?.(0, 'margin plane');
  const moments = surfaceMoments(scan.mesh);
  if (!(moments.area > 0)) throw new TraceError('no-surface', 'The scan has no surface area.');
  const { principal } = moments;
  const quality = surfaceNoise(scan.mesh, scan.twins);
  const size = Math.sqrt(principal.values[2]);
  const { noise: alike, most } = alikeNoise(scan.mesh, scan.twins, quality.noise, quality.meanEdge);
  const rim = findRim(
    scan,
    principal.vectors[0],
    principal.vectors[2],
    quality,
    most,
    4 * size * WIDEST_SHARE,
    hooks,
  );
  if (rim.outer.length < 9)
    throw new TraceError('no-outline', 'The scan has no outline in plan: it is flat or folded.');
  if (rim.unsettled > 0.1) {
    warnings.push({
      code: 'margin-plane-unsettled',
      text: `The margin plane did not come to rest (still moving by ${rim.unsettled.toFixed(2)}°): the margin is blunt or winds strongly.`,
    });
  }
  warnings.push(...sharedNoise(rim, alike));
  warnings.push(...coarseNoise(quality));
  hooks.signal?.throwIfAborted();
  hooks.progress?.(0.9, 'length axis');
  const faced = chooseFaceA(scan, rim);
  const { x, y } = faced.basis;
  const choice = choosePlanAxis(planRings(faced), settings, (point) => [dot(x, point), dot(y, point)]);
  warnings.push(...choice.warnings);
  // Whichever face is up, the axis is the one line: it is looked for once, and turned with the piece.
  const laid = settings.flipFace
    ? { rim: turnedOver(faced), choice: seenFromBehind(choice) }
    : { rim: faced, choice };
  return assemble(scan, settings, laid.rim, nudged(laid.choice, settings), { ...quality, alike }, warnings);
}

/** Noise that neighbours share, as the faces tell it, or else the rim. */
function sharedNoise({ grain }: GrainedRim, alike: AlikeNoise | undefined): Warning[] {
  if (alike === undefined && !(grain.growth > 1)) return [];
  const reach = (alike?.reach ?? grain.alike * grain.spacing).toPrecision(1);
  return [
    {
      code: 'noise-alike',
      text: `The scan’s noise is alike over about ${reach} mm, as photogrammetry and smoothing leave it. Relief of that size cannot be told from it; uncertainties allow for it.`,
    },
  ];
}

/** Where vertices stray by much of their own spacing, an outermost rim stands out too far and noise reads too small. */
function coarseNoise({ noise, meanEdge }: SurfaceNoise): Warning[] {
  if (noise < NOISE_TOO_COARSE * meanEdge) return [];
  const [stray, edge] = [noise, meanEdge].map((size) => size.toPrecision(2));
  return [
    {
      code: 'noise-coarse',
      text: `The scan’s noise, ${stray} mm or more, is large against the spacing of its points (${edge} mm), so that the outline can only be told roughly: length, width, area and edge measures may be off by more than their uncertainty says, area mostly upward.`,
    },
  ];
}

/** A rim, and how the noise of the raw scan is alike from point to point of it. */
type GrainedRim = Rim & { readonly grain: LineSpread & { readonly spacing: number } };

function grained(rim: Rim): GrainedRim {
  const { length } = planarCurve(inPlan(rim.outer));
  return { ...rim, grain: { ...rim.spread, spacing: length / (rim.outer.length / 3) } };
}

/** The rim of the scan: found roughly on the raw surface, then finely with noise taken off the band where it is made. */
function findRim(
  scan: Scan,
  thin: Vector3,
  long: Vector3,
  quality: SurfaceNoise,
  shared: number,
  widest: number,
  hooks: Hooks,
): GrainedRim {
  const faces = { own: quality.noise, shared };
  const raw = new Silhouette(scan.mesh, scan.twins);
  const overWalls = (ring: Points3, basis: Basis) =>
    wallHeights(
      scan.mesh,
      raw.walls(basis.z),
      basis,
      ring,
      WALL_REACH * quality.meanEdge,
      LEAST_WALL * quality.meanEdge + 4 * quality.noise,
    );
  if (quality.noise < NOISE_THAT_MATTERS * quality.meanEdge) {
    return grained(settleMarginPlane(raw, { thin, long }, widest, SETTLED, faces, overWalls, hooks));
  }
  const near = settleMarginPlane(raw, { thin, long }, widest, NEARLY_SETTLED, faces, overWalls, hooks);
  const contour = raw.contour(near.basis.z);
  const { positions, moved } = calmBand(scan.mesh, scan.twins, contour, quality.noise, quality.meanEdge);
  const calm = raw.moved(positions, moved);
  const rim = settleMarginPlane(calm, { thin: near.basis.z, long }, widest, SETTLED, faces, overWalls, hooks);
  // What calming has made alike is no property of the scan.
  return { ...rim, grain: grained(near).grain };
}

/** The rim with the face of more volume towards +z. */
function chooseFaceA(scan: Scan, rim: GrainedRim): GrainedRim {
  const { basis, level } = rim;
  const seen = transformMesh(scan.mesh, toBasis(basis, [0, 0, 0]));
  const { above, whole } = splitVolume(seen, level);
  return above < whole / 2 ? turnedOver(rim) : rim;
}

/** The rim after a half turn about y. Rings begin at the same point: what is laid along them does not depend on the face. */
function turnedOver(rim: GrainedRim): GrainedRim {
  const { basis, left } = rim;
  return {
    ...rim,
    basis: { x: scaled(basis.x, -1), y: basis.y, z: scaled(basis.z, -1) },
    level: -rim.level,
    outer: turnRing(rim.outer),
    left: { plan: backwards(left.plan), height: backwards(left.height), wall: backwards(left.wall) },
    inner: rim.inner.map(turnRing),
  };
}

/** x and z change sign, and the order of points is reversed so that the ring keeps its sense; its first point stays first. */
function turnRing(ring: Points3): Points3 {
  const n = ring.length / 3;
  const out = new Float64Array(ring.length);
  for (let i = 0; i < n; i++) {
    const j = 3 * ((n - i) % n);
    out[3 * i] = -ring[j];
    out[3 * i + 1] = ring[j + 1];
    out[3 * i + 2] = -ring[j + 2];
  }
  return out;
}

function backwards(values: Float64Array): Float64Array {
  const n = values.length;
  return values.map((_, i) => values[(n - i) % n]);
}

/** Rings in plan; see-through specks that noise may open in a thin edge are left out. */
function planRings(rim: Rim): Points2[] {
  const rings = [rim.outer, ...rim.inner].map(inPlan);
  const whole = polygonMoments([rings[0]]).area;
  return rings.filter((ring, i) => i === 0 || Math.abs(polygonMoments([ring]).area) > whole * 2e-4);
}

function inPlan(ring: Points3): Points2 {
  const out = new Float64Array((2 * ring.length) / 3);
  for (let i = 0; i < out.length / 2; i++) {
    out[2 * i] = ring[3 * i];
    out[2 * i + 1] = ring[3 * i + 1];
  }
  return out;
}

function assemble(
  scan: Scan,
  settings: TraceSettings,
  rim: GrainedRim,
  choice: PlanChoice,
  quality: SurfaceNoise & { readonly alike: AlikeNoise | undefined },
  warnings: readonly Warning[],
): Model {
  // A weighted mean over planes, which sharp places exceed: no bound, so it stands as it is.
  const thinning = scan.thinned?.moved ?? 0;
  const { alike } = quality;
  const { line } = choice;
  const basis = turned(rim.basis, line.angle);
  const { outline, midline, length, base, axes } = layPlan(planRings(rim), choice, settings.stations);
  const origin: [number, number, number] = [line.offset, base, rim.level];
  const rigid = toBasis(basis, origin);
  const matrix = toBasis(basis, origin, MM_PER_UNIT[scan.unit.unit]);
  const ring3 = new Float64Array(rim.outer.length);
  for (let i = 0; i < ring3.length / 3; i++) {
    ring3[3 * i] = outline.outer[2 * i];
    ring3[3 * i + 1] = outline.outer[2 * i + 1];
    ring3[3 * i + 2] = rim.outer[3 * i + 2] - rim.level;
  }
  const calmed = lineQuality(rim, outline.outer);
  const frame: Frame = {
    matrix,
    rigid,
    axis: settings.axis,
    faceA: settings.flipFace ? 'flipped' : 'more-volume',
    tip: settings.axis === 'tip-base' ? 'placed' : settings.flipTip ? 'flipped' : 'less-area',
    axes,
  };
  return {
    frame,
    outline: { ...outline, left: alike === undefined ? rim.left : withShared(rim.left, alike.sigma) },
    midline,
    length,
    surface: {
      mesh: { positions: transformPoints(scan.mesh.positions, rigid), triangles: scan.mesh.triangles },
      twins: scan.twins,
      ...(scan.patchedFrom === undefined ? {} : { patchedFrom: scan.patchedFrom }),
      closed: scan.closed,
    },
    margin: orderMargin(ring3, midline, length),
    quality: {
      meanEdge: quality.meanEdge,
      // What the faces tell of shared noise is surer than what the rim does, which is scalloped.
      noise: quality.noise * (alike === undefined ? rim.grain.growth : 1),
      grain: Math.max(
        quality.meanEdge,
        alike === undefined ? rim.grain.alike * rim.grain.spacing : quality.meanEdge,
      ),
      ...(alike === undefined ? {} : { alike }),
      lineError: coarseness(outline.outer, quality.meanEdge, calmed.plan),
      ...(thinning > 0 ? { thinning } : {}),
      line: calmed,
    },
    scaleUncertainty: 0,
    warnings,
  };
}

/** The same with noise that neighbours share, of which smoothing along the line takes nothing off. */
function withShared(left: PointErrors, sigma: number): PointErrors {
  const add = (of: Float64Array): Float64Array => of.map((own) => Math.hypot(own, sigma));
  return { ...left, plan: add(left.plan), height: add(left.height) };
}

function lineQuality({ spread, left }: Rim, ring: Points2): NonNullable<ScanQuality['line']> {
  const rms = (of: Float64Array): number =>
    Math.sqrt(of.reduce((sum, sigma) => sum + sigma * sigma, 0) / of.length);
  const spacing = (2 * planarCurve(ring).length) / ring.length;
  return { noise: apart(spread), plan: rms(left.plan), height: rms(left.height), spacing };
}

/** The depth of a chord below its arc, at any place along it, over that at its middle: a root mean square. */
const CHORD_DEPTH = Math.sqrt(8 / 15);

/** Stray of the outline's points beyond the noise left in them, and sag of its chords, together, mm. */
function coarseness(ring: Points2, step: number, noise: number): number {
  const { stray, sag } = ringRoughness(ring, step);
  return Math.hypot(Math.sqrt(Math.max(0, stray * stray - noise * noise)), CHORD_DEPTH * sag);
}
