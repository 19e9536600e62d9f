import { drape, type Grid, heightAt } from '../src/geometry/drape.ts';
import { type HeightField, heightField } from '../src/geometry/heightField.ts';
import { distanceOutside } from '../src/geometry/ringDistance.ts';
import { sliceMesh } from '../src/geometry/slices.ts';
import { thinMesh } from '../src/geometry/thinMesh.ts';
import type { Points2 } from '../src/geometry/types.ts';
import { vertexNormals } from '../src/geometry/vertexNormals.ts';
import type { ExcessMap, Hump, MeasureResult, Series } from '../src/measures/types.ts';
import type { Model } from '../src/trace/types.ts';
import type { DisplayMesh, Drawn, TracedPiece } from './messages.ts';

/** More triangles than this are thinned before they are drawn. */
const DRAWN_TRIANGLES = 300_000;
/** Reach of a hump's glow beyond its footprint, as a share of the piece's length. */
const GLOW_SHARE = 0.025;
/** Edge angles are painted on the faces as far in from the margin, as a share of the length. */
const EDGE_SHARE = 0.05;
/** Rows of the fine height field that pictures and draped lines are made from. */
const PICTURE_ROWS = 1000;

/** What values at the vertices are reckoned from. */
export type Vertices = Pick<DisplayMesh, 'positions' | 'normals'>;

/** The traced piece ready to be drawn. Throws when the model has no surface. */
export async function drawTraced(run: number, model: Model): Promise<TracedPiece> {
  const { surface, margin } = model;
  if (surface === undefined || margin === undefined) throw new Error('a scan has a surface and a margin');
  const { vertices, triangles } = await thinMesh(surface.mesh, DRAWN_TRIANGLES);
  const normals = vertexNormals(surface.mesh);
  const positions = pick(surface.mesh.positions, vertices);
  const mesh: DisplayMesh = {
    positions,
    normals: pick(normals, vertices),
    triangles,
    ...boundsOf(positions),
    fullTriangles: surface.mesh.triangles.length / 3,
  };
  return { run, mesh, margin: Float32Array.from(margin.points), length: model.length };
}

function boundsOf(positions: Float32Array): Pick<DisplayMesh, 'low' | 'high'> {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i++) {
    const axis = i % 3;
    if (positions[i] < low[axis]) low[axis] = positions[i];
    if (positions[i] > high[axis]) high[axis] = positions[i];
  }
  return { low, high };
}

function pick(from: Float64Array | Float32Array, vertices: Uint32Array): Float32Array {
  const out = new Float32Array(3 * vertices.length);
  for (let i = 0; i < vertices.length; i++) {
    const k = 3 * vertices[i];
    out[3 * i] = from[k];
    out[3 * i + 1] = from[k + 1];
    out[3 * i + 2] = from[k + 2];
  }
  return out;
}

/** Both faces' heights, finer than the map that is measured. */
export function pictureField(model: Model): HeightField {
  if (model.surface === undefined) throw new Error('a picture of a face needs a surface');
  return heightField(model.surface.mesh, model.length / PICTURE_ROWS);
}

/** Lines on the faces and values at the vertices of the mesh that is drawn. */
export function drawMeasured(model: Model, result: MeasureResult, field: HeightField, mesh: Vertices): Drawn {
  const midline = interleave(model.midline.x, model.midline.y);
  return {
    midlineA: Float32Array.from(drape(field, field.top, midline)),
    midlineB: Float32Array.from(drape(field, field.bottom, midline)),
    footprints: result.humps.map((hump) => Float32Array.from(drapeFootprint(field, hump))),
    thickness: thicknessUnder(mesh, field),
    excess: excessUnder(mesh, result.excess),
    edgeAngle: anglesNear(mesh, model, result.series.edgeAngle),
    glow: glowAround(mesh, result.humps, GLOW_SHARE * model.length),
    cuts: cutEverywhere(model),
  };
}

/** The piece cut at every whole percent of its length between the ends. */
function cutEverywhere({ surface, length }: Model): Float32Array[][] {
  if (surface === undefined) return [];
  const levels = Float64Array.from({ length: 99 }, (_, k) => ((k + 1) * length) / 100);
  return sliceMesh(surface.mesh, surface.twins, levels, 1).map(({ loops }) =>
    loops.map(({ points }) => Float32Array.from(points)),
  );
}

function drapeFootprint(field: HeightField, hump: Hump): Float64Array {
  return drape(field, hump.face === 'A' ? field.top : field.bottom, hump.footprint);
}

function thicknessUnder({ positions }: Vertices, field: HeightField): Float32Array {
  const out = new Float32Array(positions.length / 3);
  const grid: Grid = field;
  for (let i = 0; i < out.length; i++) {
    const x = positions[3 * i];
    const y = positions[3 * i + 1];
    out[i] = heightAt(grid, field.top, x, y) - heightAt(grid, field.bottom, x, y);
  }
  return out;
}

function excessUnder({ positions, normals }: Vertices, map: ExcessMap | undefined): Float32Array {
  const out = new Float32Array(positions.length / 3).fill(NaN);
  if (map === undefined) return out;
  for (let i = 0; i < out.length; i++) {
    const heights = normals[3 * i + 2] >= 0 ? map.faceA : map.faceB;
    out[i] = heightAt(map, heights, positions[3 * i], positions[3 * i + 1]);
  }
  return out;
}

/** Places of the margin sorted into rows, so that a vertex asks only those that may be near it. */
function anglesNear({ positions }: Vertices, { length }: Model, series: Series | undefined): Float32Array {
  const out = new Float32Array(positions.length / 3).fill(NaN);
  if (series === undefined) return out;
  const reach = EDGE_SHARE * length;
  const [x, y, z, angle] = ['x', 'y', 'z', 'angle'].map((name) => series[name] as ArrayLike<number>);
  const rows = new Map<number, number[]>();
  for (let k = 0; k < angle.length; k++) {
    if (Number.isNaN(angle[k])) continue;
    const row = Math.floor(y[k] / reach);
    const there = rows.get(row);
    if (there === undefined) rows.set(row, [k]);
    else there.push(k);
  }
  for (let i = 0; i < out.length; i++) {
    const [vx, vy, vz] = [positions[3 * i], positions[3 * i + 1], positions[3 * i + 2]];
    const row = Math.floor(vy / reach);
    let least = reach * reach;
    for (let near = row - 1; near <= row + 1; near++) {
      for (const k of rows.get(near) ?? []) {
        const distance = (x[k] - vx) ** 2 + (y[k] - vy) ** 2 + (z[k] - vz) ** 2;
        if (distance >= least) continue;
        least = distance;
        out[i] = angle[k];
      }
    }
  }
  return out;
}

/** 1 inside a footprint on the same face, easing to 0 at `reach` beyond it. */
function glowAround({ positions, normals }: Vertices, humps: readonly Hump[], reach: number): Float32Array {
  const glow = new Float32Array(positions.length / 3);
  for (const { face, footprint } of humps) {
    const box = boxOf(footprint, reach);
    const sign = face === 'A' ? 1 : -1;
    for (let i = 0; i < glow.length; i++) {
      const x = positions[3 * i];
      const y = positions[3 * i + 1];
      if (x < box.minX || x > box.maxX || y < box.minY || y > box.maxY) continue;
      if (normals[3 * i + 2] * sign <= 0) continue;
      const nearness = 1 - Math.min(1, distanceOutside(footprint, x, y) / reach);
      glow[i] = Math.max(glow[i], nearness * nearness * (3 - 2 * nearness));
    }
  }
  return glow;
}

function boxOf(ring: Points2, reach: number): { minX: number; maxX: number; minY: number; maxY: number } {
  const box = { minX: Infinity, maxX: -Infinity, minY: Infinity, maxY: -Infinity };
  for (let i = 0; i < ring.length; i += 2) {
    box.minX = Math.min(box.minX, ring[i] - reach);
    box.maxX = Math.max(box.maxX, ring[i] + reach);
    box.minY = Math.min(box.minY, ring[i + 1] - reach);
    box.maxY = Math.max(box.maxY, ring[i + 1] + reach);
  }
  return box;
}

function interleave(x: Float64Array, y: Float64Array): Points2 {
  const out = new Float64Array(2 * x.length);
  for (let i = 0; i < x.length; i++) {
    out[2 * i] = x[i];
    out[2 * i + 1] = y[i];
  }
  return out;
}
