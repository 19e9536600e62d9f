import { planarCurve, spanAt } from '../geometry/curvePlanar.ts';
import { type FacetSag, facetSag } from '../geometry/facetSag.ts';
import { isEven } from '../geometry/facetSizes.ts';
import { fillHoles } from '../geometry/fillHoles.ts';
import { heightField } from '../geometry/heightField.ts';
import { meshTotals } from '../geometry/meshTotals.ts';
import { maskInside } from '../geometry/polygonMask.ts';
import type { Points2, TriangleMesh } from '../geometry/types.ts';
import { volumeAbove } from '../geometry/volume.ts';
import type { Model, Surface } from '../trace/types.ts';
import { faceRadius, faceSag, heightError, SAG_DOUBT, SAG_SHARE, sharedError } from './faceError.ts';
import { independentPoints } from './outlineError.ts';
import type { Plan } from './outlinePlan.ts';
import type { MeasureSettings, Value } from './types.ts';

/** Volume and surface of a scanned piece. mm³, mm², percent. */
export interface Body {
  readonly volume: Value;
  readonly surface: Value;
  /** Volume above the margin plane over the whole volume. */
  readonly balance: Value;
  /** What triangles cut off the faces by how they turn: volume and sections are those of the triangles, and that much too small. */
  readonly sag: FacetSag;
  /** The triangles are alike in size, so that it is known. */
  readonly even: boolean;
  /** The scan has holes, over which the faces were filled in. */
  readonly open: boolean;
}

/** Layers along the length in which what triangles cut off is summed up. */
const SAG_LAYERS = 100;

/**
 * Of what hollows have too much, this share is in doubt: what bulges lack makes up for them, but not where the bulges are
 * arrises, which turn a mesh as round ones do and of which less is cut off (on knapped pieces).
 */
const HOLLOW_SHARE = 0.3;
/** Noise of σ turns the edges of even triangles so that hollows read this much times σ and the area too large. */
const NOISY_HOLLOW = 0.24;
/** Side of a patch within which noise cancels, in mean edges. */
const PATCH_EDGES = 3;

export function measureBody(model: Model, settings: MeasureSettings, plan: Plan): Body {
  const { surface, quality } = model;
  if (surface === undefined) throw new Error('a volume needs a scanned surface');
  const { mesh } = surface;
  const totals = meshTotals(mesh);
  const bridged = surface.closed ? { whole: 0, above: 0 } : bridgedVolume(surface, plan, model, settings);
  const sag = facetSag(mesh, surface.twins, SAG_LAYERS, {
    patch: PATCH_EDGES * quality.meanEdge,
    noise: quality.noise,
  });
  const even = isEven(mesh) && !quality.thinning;
  const whole = totals.volume + bridged.whole;
  const above = volumeAbove(mesh, 0) + bridged.above;
  const balance = (100 * above) / whole;
  // Noise of each vertex stands for the surface round it: it averages out over all of them, or over as many grains.
  const vertices = Math.max(1, mesh.positions.length / 3);
  const alike = Math.max(1, (quality.grain ?? 0) / quality.meanEdge || 1) ** 2;
  const random =
    totals.area *
    Math.hypot(
      quality.noise / Math.sqrt(Math.max(1, vertices / alike)),
      sharedError(quality, totals.area, 2),
    );
  // Half of what was put over holes may be wrong by its own depth: a rectangular error.
  const guess = Math.abs(bridged.whole) / 2 / Math.sqrt(3);
  // Single edges tell more where there is no noise, patches where there is.
  const byNoise = NOISY_HOLLOW * quality.noise * totals.area;
  const hollow = Math.max(
    beyond(sag.hollow, byNoise),
    beyond(sag.patches.hollow, byNoise * sag.patches.noise),
  );
  const cutOff = Math.hypot(
    (even ? SAG_SHARE.face : SAG_SHARE.uneven) * Math.abs(sag.whole),
    HOLLOW_SHARE * hollow,
  );
  // What is cut off alike of both faces leaves their balance as it is; of the rest, between nothing and all: rectangular.
  const unlike = (sag.above - (above / whole) * sag.whole) / Math.sqrt(3);
  const roughening = totals.roughening * quality.noise ** 2;
  return {
    volume: { value: whole, components: { noise: random, resolution: Math.hypot(guess, cutOff) } },
    surface: {
      value: totals.area,
      // Noise only ever adds area.
      components: {
        noise: roughening / Math.sqrt(3),
        resolution: Math.hypot(areaError(totals.area, quality.meanEdge, model.length), guess / model.length),
      },
    },
    balance: {
      value: balance,
      components: {
        noise: (100 * random) / whole / Math.SQRT2,
        resolution: (100 * Math.hypot(guess, unlike, (SAG_DOUBT.face * sag.whole) / 2)) / whole,
        // The margin plane's own height, known to the error of a margin point averaged over the margin.
        tracing: (100 * plan.area * planeError(model)) / whole,
      },
    },
    sag,
    even,
    open: !surface.closed,
  };
}

/** What of a sum of sizes is not by noise: an edge that bends and is noisy turns by the root of the sum of their squares. */
function beyond(sum: number, byNoise: number): number {
  return Math.sqrt(Math.max(0, sum * sum - byNoise * byNoise));
}

/** Standard uncertainty of the margin plane's height, mm: of the margin's points averaged over it, and of its walls. */
function planeError({ quality, margin, outline }: Model): number {
  const points = margin === undefined ? 1 : independentPoints(quality, margin.length);
  // Along walls it may have been meant to run anywhere between their brinks; not along all of them alike.
  const walls = outline.left === undefined ? 0 : meanAround(outline.outer, outline.left.wall) / 2;
  return Math.hypot(heightError(quality) / Math.sqrt(points), walls);
}

/** Mean over the length of a closed line of what its points have. */
function meanAround(ring: Points2, of: Float64Array): number {
  const curve = planarCurve(ring);
  return of.reduce((sum, value, i) => sum + (value * spanAt(curve, i)) / curve.length, 0);
}

/** What the area of a surface lacks by the sag of its triangles, as a rectangular error. */
function areaError(area: number, edge: number, length: number): number {
  return (area * faceSag(edge, length)) / faceRadius(length) / Math.sqrt(3);
}

/**
 * What the flux through the faces lacks where the scan has holes: the same height field for each face alone, membranes
 * over the cells inside the outline that it does not cover, integrated.
 */
function bridgedVolume(
  surface: Surface,
  plan: Plan,
  model: Model,
  settings: MeasureSettings,
): { whole: number; above: number } {
  const cell = Math.min(settings.mapCell, model.length / 400);
  let whole = 0;
  let above = 0;
  for (const side of [1, -1] as const) {
    const field = heightField(facing(surface.mesh, side), cell);
    const heights = side === 1 ? field.top : field.bottom;
    const mask = maskInside(plan.rings, { ...field, cell });
    for (const k of fillHoles(heights, mask, field.columns)) {
      whole += side * heights[k] * cell * cell;
      above += side * Math.max(0, heights[k]) * cell * cell;
    }
  }
  return { whole, above };
}

/** The triangles that face up (side 1) or down (−1). */
function facing(mesh: TriangleMesh, side: 1 | -1): TriangleMesh {
  const { positions: p, triangles } = mesh;
  const kept = new Uint32Array(triangles.length);
  let count = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t];
    const b = 3 * triangles[t + 1];
    const c = 3 * triangles[t + 2];
    const up = (p[b] - p[a]) * (p[c + 1] - p[a + 1]) - (p[c] - p[a]) * (p[b + 1] - p[a + 1]);
    if (up * side <= 0) continue;
    kept.set(triangles.subarray(t, t + 3), count);
    count += 3;
  }
  return { positions: p, triangles: kept.subarray(0, count) };
}
