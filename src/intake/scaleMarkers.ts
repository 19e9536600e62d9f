import { fitHomography, project } from '../geometry/homography.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Cv } from './photoOpencv.ts';
import type { Pixels, ReducedPixels } from './photoTypes.ts';
import { refineQuad } from './scaleCorners.ts';
import { type Light, lightOf } from './scaleLight.ts';
import { CODE_CELLS, decodeCells, MARKER_CELLS } from './scaleMatCodes.ts';
import { findQuads } from './scaleQuads.ts';

/** A marker as it is seen. */
export interface SeenMarker {
  readonly id: number;
  /** Corners in the image, pixels: the code's own top left, then clockwise on the paper; sub-pixel. */
  readonly corners: Points2;
}

const SHORTEST_SIDE = 9;
/** Cells of the black frame (20) that may be read as white. */
const FRAME_ERRORS = 1;

/**
 * Markers in a picture: quadrilaterals darker than what is round them are looked for in `small`; their codes are read
 * and their corners refined in `whole`. A code seen twice is left out, because one of the two is wrong.
 */
export function findMarkers(whole: Pixels, small: ReducedPixels, cv: Cv): SeenMarker[] {
  const light = lightOf(whole);
  const found = new Map<number, SeenMarker[]>();
  for (const quad of findQuads(small, cv, SHORTEST_SIDE)) {
    const marker = readMarker(light, quad);
    if (marker === undefined) continue;
    const alike = found.get(marker.id) ?? [];
    if (!alike.some((other) => near(other.corners, marker.corners))) alike.push(marker);
    found.set(marker.id, alike);
  }
  return [...found.values()].filter((alike) => alike.length === 1).map(([marker]) => marker);
}

function near(a: Points2, b: Points2): boolean {
  const side = Math.hypot(a[2] - a[0], a[3] - a[1]);
  return Math.hypot(a[0] + a[4] - b[0] - b[4], a[1] + a[5] - b[1] - b[5]) < side;
}

/** Reads the code inside a quadrilateral, and refines its corners when it is one. */
function readMarker(light: Light, quad: Points2): SeenMarker | undefined {
  const decoded = decode(light, quad);
  if (decoded === undefined) return undefined;
  const corners = refineQuad(light, turned(quad, decoded.turns), MARKER_CELLS);
  if (corners === undefined) return undefined;
  // Once more with exact corners: what was read through slanted ones may be another code.
  const again = decode(light, corners);
  return again?.id === decoded.id && again.turns === 0 ? { id: decoded.id, corners } : undefined;
}

function turned(quad: Points2, turns: number): Points2 {
  return quad.map((_, i) => quad[(i + 2 * turns) & 7]);
}

function decode(light: Light, quad: Points2): ReturnType<typeof decodeCells> {
  const n = MARKER_CELLS;
  const toImage = fitHomography(Float64Array.of(0, 0, n, 0, n, n, 0, n), quad);
  if (toImage === undefined) return undefined;
  const cells = Float64Array.from({ length: n * n }, (_, i) =>
    cellLight(light, toImage, i % n, Math.floor(i / n)),
  );
  const level = splitLevel(cells);
  if (level === undefined) return undefined;
  let [errors, code] = [0, 0];
  for (let row = 0; row < n; row++) {
    for (let column = 0; column < n; column++) {
      const white = cells[row * n + column] > level ? 1 : 0;
      const frame = row === 0 || column === 0 || row > CODE_CELLS || column > CODE_CELLS;
      if (frame) errors += white;
      else code = (code << 1) | white;
    }
  }
  return errors <= FRAME_ERRORS ? decodeCells(code) : undefined;
}

/** Mean light of the middle of a cell. */
function cellLight(light: Light, toImage: Float64Array, column: number, row: number): number {
  const places = new Float64Array(32);
  for (let k = 0; k < 16; k++) {
    places[2 * k] = column + 0.26 + 0.16 * (k & 3);
    places[2 * k + 1] = row + 0.26 + 0.16 * (k >> 2);
  }
  project(toImage, places);
  let sum = 0;
  for (let k = 0; k < 32; k += 2) sum += light(places[k], places[k + 1]);
  return sum / 16;
}

/** Half-way between the means of the dark and the light cells; undefined where they are not clearly two kinds. */
function splitLevel(cells: Float64Array): number | undefined {
  const sorted = Float64Array.from(cells).sort();
  let [best, level] = [0, 0];
  for (let i = 1; i < sorted.length; i++) {
    const gap = sorted[i] - sorted[i - 1];
    if (gap > best) [best, level] = [gap, (sorted[i] + sorted[i - 1]) / 2];
  }
  return best > 0.15 * sorted[sorted.length - 1] ? level : undefined;
}
