import { CalmField } from '../geometry/calmField.ts';
import { type FacetSize, type FacetSizes, facetSizes, isEven } from '../geometry/facetSizes.ts';
import { FieldPeaks, type Peak } from '../geometry/fieldPeak.ts';
import { topSharpness } from '../geometry/topSharpness.ts';
import type { Model } from '../trace/types.ts';
import { faceSag } from './faceError.ts';
import type { ThicknessMap } from './types.ts';

/** Noise below this share of the mean edge pulls no maximum. */
const NOISE_THAT_MATTERS = 0.003;

/** Both faces over the plan, ready to be asked for values free of noise. mm. */
export interface ThicknessField {
  readonly map: ThicknessMap;
  /** Of the scan's triangles, where they are alike; undefined where what they cut off is not known. */
  readonly sizes: FacetSizes | undefined;
  /** Face A − Face B. Empty outside and where a hole of the scan shows one face alone. */
  readonly thickness: CalmField;
  readonly peaks: FieldPeaks;
  /** The middle between the faces. */
  readonly middle: CalmField;
  /** Greatest thickness anywhere; undefined where no cell has two faces. */
  readonly peak: Peak | undefined;
}

export function makeThicknessField(model: Model, map: ThicknessMap): ThicknessField {
  const thickness = new Float32Array(map.faceA.length);
  const middle = new Float32Array(map.faceA.length);
  fillBetween(map, thickness, middle);
  const sigma = noiseThatMatters(model);
  if (model.surface === undefined) throw new Error('a thickness field needs a scanned surface');
  const { mesh } = model.surface;
  const sizes = isEven(mesh) ? facetSizes(mesh) : undefined;
  const calm = calmField(thickness, map, model, sizes, sigma * Math.SQRT2);
  const peaks = new FieldPeaks(calm);
  return {
    map,
    sizes,
    thickness: calm,
    peaks,
    middle: calmField(middle, map, model, sizes, sigma * Math.SQRT1_2),
    peak: peaks.peak(),
  };
}

/** Thickness and the middle between the faces of each cell; NaN where the two are not apart. */
function fillBetween({ faceA, faceB }: ThicknessMap, thickness: Float32Array, middle: Float32Array): void {
  for (let k = 0; k < thickness.length; k++) {
    const between = faceA[k] - faceB[k];
    thickness[k] = between > 0 ? between : NaN;
    middle[k] = between > 0 ? (faceA[k] + faceB[k]) / 2 : NaN;
  }
}

function noiseThatMatters({ quality }: Model): number {
  return quality.noise > NOISE_THAT_MATTERS * quality.meanEdge ? quality.noise : 0;
}

function calmField(
  values: Float32Array,
  map: ThicknessMap,
  { quality }: Model,
  sizes: FacetSizes | undefined,
  sigma: number,
): CalmField {
  const { columns, rows, cell, x0, y0 } = map;
  const facets =
    sizes && ((column: number, row: number): FacetSize => sizes.at(x0 + column * cell, y0 + row * cell));
  return new CalmField(
    { values, columns, rows, cell, grain: quality.grain ?? quality.meanEdge, ...(facets && { facets }) },
    sigma,
  );
}

/** Greatest thickness across the section at height y: between the two rows of the map on either side of it. */
export function thicknessAt({ peaks, map }: ThicknessField, y: number): Peak | undefined {
  const at = Math.min(map.rows - 1, Math.max(0, (y - map.y0) / map.cell));
  const below = Math.floor(at);
  const above = Math.min(map.rows - 1, below + 1);
  const a = peaks.peak(below, below);
  const b = peaks.peak(above, above);
  if (a === undefined || b === undefined) return a ?? b;
  const share = at - below;
  const nearer = share < 0.5 ? a : b;
  return { ...nearer, value: a.value * (1 - share) + b.value * share, error: Math.max(a.error, b.error) };
}

/**
 * Extent along z: the highest of Face A or of the margin less the lowest of Face B or of the margin (which stands out
 * where it winds further than a thin piece is thick, and lies beyond the last cell of the map).
 */
export function boxThickness({ map, sizes }: ThicknessField, model: Model): Box | undefined {
  const { surface } = model;
  const sigma = noiseThatMatters(model);
  const faces = [map.faceA, map.faceB.map((z) => -z)].map(
    (heights) => new FieldPeaks(calmField(heights, map, model, sizes, sigma)),
  );
  const [top, bottom] = faces.map((face) => face.peak());
  if (top === undefined || bottom === undefined) return undefined;
  const points = model.margin?.points ?? new Float64Array();
  let [highest, lowest] = [0, 0];
  for (let i = 3; i < points.length; i += 3) {
    if (points[i + 2] > points[highest + 2]) highest = i;
    if (points[i + 2] < points[lowest + 2]) lowest = i;
  }
  const [high, low] = [points[highest + 2] ?? -Infinity, points[lowest + 2] ?? Infinity];
  const over = high > top.value;
  const under = low < -bottom.value;
  const cut = (face: number, peak: Peak): number => crestCut(faces[face].field, peak, model);
  const whole = Math.max(high, top.value) - Math.min(low, -bottom.value);
  const above = over ? { x: points[highest], y: points[highest + 1] } : placeOf(top, map);
  const below = under ? { x: points[lowest], y: points[lowest + 1] } : placeOf(bottom, map);
  return {
    value: sigma === 0 && surface !== undefined ? extentZ(surface.mesh.positions) : whole,
    error: Math.hypot(over ? 0 : top.error, under ? 0 : bottom.error),
    cut: Math.hypot(over ? 0 : cut(0, top), under ? 0 : cut(1, bottom)),
    margins: Number(over) + Number(under),
    apart: [above.x - below.x, above.y - below.y],
  };
}

/** Extent along z, mm. */
export interface Box {
  readonly value: number;
  /** Of those of its two ends that are tops of a face: what noise is left, and what triangles cut off. */
  readonly error: number;
  readonly cut: number;
  /** How many of its ends are places of the margin. */
  readonly margins: number;
  /** From its lower end to its upper one, in plan. */
  readonly apart: readonly [dx: number, dy: number];
}

function extentZ(positions: Float64Array): number {
  let high = -Infinity;
  let low = Infinity;
  for (let i = 2; i < positions.length; i += 3) {
    if (positions[i] > high) high = positions[i];
    if (positions[i] < low) low = positions[i];
  }
  return high - low;
}

/**
 * Standard uncertainty of a top for what triangles cut off its crest, mm. They cut off between nothing and an eighth of
 * its bend over an edge, half of which is put back where noise is taken off: a rectangular error.
 */
export function crestCut(field: CalmField, peak: Peak, { quality, length }: Model): number {
  const cut = field.sigma > 0 ? 1 / 16 : 1 / 8;
  const bend = (cut * Math.abs(field.bend(peak.column, peak.row, quality.meanEdge))) / Math.sqrt(3);
  // Of corners and brinks more is cut off than of what bends, by facets and by the fits that take noise off. What was put back
  // of a clean crease has an error of its own.
  const sharp = topSharpness(field, peak) * (field.sigma > 0 ? 1 : 1 - peak.creased);
  // A single place may not show how the face bends round it.
  return Math.hypot(Math.max(bend, sharp), faceSag(quality.meanEdge, length));
}

/** Frame x and y of a peak's cell, mm. */
export function placeOf(peak: Peak, map: ThicknessMap): { x: number; y: number } {
  return { x: map.x0 + peak.column * map.cell, y: map.y0 + peak.row * map.cell };
}

/** A field's value at a place, between its four cells; NaN where one of them is empty. */
export function sampleField(field: CalmField, map: ThicknessMap, x: number, y: number): number {
  const cx = (x - map.x0) / map.cell;
  const cy = (y - map.y0) / map.cell;
  const c = Math.floor(cx);
  const r = Math.floor(cy);
  const fx = cx - c;
  const fy = cy - r;
  const at = (column: number, row: number): number => field.at(column, row)?.value ?? NaN;
  return (
    (at(c, r) * (1 - fx) + at(c + 1, r) * fx) * (1 - fy) +
    (at(c, r + 1) * (1 - fx) + at(c + 1, r + 1) * fx) * fy
  );
}
