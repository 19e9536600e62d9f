import { Clipper, Clipper64, ClipType, FillRule, type Path64, type Paths64, type Point64 } from 'clipper2-ts';
import { type Basis, dot } from './basis.ts';
import type { Vector3 } from './symmetricEigen.ts';
import { NO_TWIN, type Points3, type TriangleMesh, type Twins } from './types.ts';
import { twiceVectorArea } from './vectorArea.ts';

/** A ring of the silhouette, in the coordinates of the basis it was seen in: z is the height of the rim there. */
export interface SilhouetteRings {
  /** Counter-clockwise in x, y. */
  readonly outer: Points3;
  /** Clockwise; holes that one can see through. */
  readonly inner: readonly Points3[];
}

/**
 * The outline of a mesh seen along −z of a basis, exact to the mesh.
 *
 * The faces that look up form a region of the surface; its boundary, projected, winds round each point of the plane
 * exactly as many times as there are upward layers over it. The silhouette is therefore the union, by positive winding,
 * of the projected boundary loops: a few thousand segments out of millions of triangles. Where the mesh is open, the
 * loops of the downward region join in, so that a hole in one face does not let light through.
 */
export class Silhouette {
  private readonly mesh: TriangleMesh;
  private readonly twins: Twins;
  /** 1 where the triangle looks up along the last z seen. */
  private readonly up: Uint8Array;
  /** Triangles steep enough to change their mind as z tilts less than REFRESH from `reference`. */
  private steep: Uint32Array = new Uint32Array(0);
  /** Half-edges of a contour between two triangles that are not steep: they stay contours. */
  private settled: Uint32Array = new Uint32Array(0);
  /** Triangles within WALL of standing upright, seen along any z nearer to `reference` than REFRESH. */
  private upright: Uint32Array = new Uint32Array(0);
  private reference: Vector3 | undefined;
  private readonly centre: Vector3;
  private readonly extent: number;

  constructor(mesh: TriangleMesh, twins: Twins) {
    this.mesh = mesh;
    this.twins = twins;
    this.up = new Uint8Array(mesh.triangles.length / 3);
    const { centre, extent } = boundingSphere(mesh.positions);
    this.centre = centre;
    this.extent = extent;
  }

  /** Rings as seen in `basis`; coordinates are those of the basis about the coordinate origin. */
  rings(basis: Basis): SilhouetteRings {
    this.look(basis.z);
    const loops = this.loops();
    return this.unite(loops, basis);
  }

  /** Brings `up` to date for a view along z. */
  private look(z: Vector3): void {
    if (
      this.reference === undefined ||
      Math.abs(dot(this.reference, z)) < COS_REFRESH ||
      dot(this.reference, z) < 0
    ) {
      this.lookAfresh(z);
      return;
    }
    const { positions: p, triangles } = this.mesh;
    const normal = new Float64Array(3);
    for (const t of this.steep) {
      twiceVectorArea(p, triangles, 3 * t, normal);
      this.up[t] = normal[0] * z[0] + normal[1] * z[1] + normal[2] * z[2] > 0 ? 1 : 0;
    }
  }

  private lookAfresh(z: Vector3): void {
    const { up, twins } = this;
    const isSteep = new Uint8Array(up.length);
    const upright: number[] = [];
    const steep: number[] = [];
    judge(this.mesh, z, up, isSteep, steep, upright);
    this.steep = Uint32Array.from(steep);
    this.upright = Uint32Array.from(upright);
    this.settled = settledContour(twins, up, isSteep);
    this.reference = z;
  }

  /** Triangles that stand within WALL of upright along z, and some that lean a little more. */
  walls(z: Vector3): Uint32Array {
    this.look(z);
    return this.upright;
  }

  /**
   * The same view of the same mesh with some of its vertices moved a little: only what was touched is looked at again.
   * @param touched corners at the moved vertices, one for each.
   */
  moved(positions: Float64Array, touched: Iterable<number>): Silhouette {
    const next = new Silhouette({ positions, triangles: this.mesh.triangles }, this.twins);
    const isSteep = new Uint8Array(this.up.length);
    for (const t of this.steep) isSteep[t] = 1;
    for (const h of touched) eachTriangleAround(h, this.twins, (t) => (isSteep[t] = 1));
    const steep: number[] = [];
    for (let t = 0; t < isSteep.length; t++) if (isSteep[t] === 1) steep.push(t);
    next.up.set(this.up);
    next.steep = Uint32Array.from(steep);
    next.upright = this.upright;
    next.settled = this.settled.filter((h) => {
      const twin = this.twins[h];
      return isSteep[(h / 3) | 0] === 0 && (twin === NO_TWIN || isSteep[(twin / 3) | 0] === 0);
    });
    next.reference = this.reference;
    return next;
  }

  /** Half-edges between what looks up and what looks down along z, and those at holes; both sides of each. */
  contour(z: Vector3): Set<number> {
    this.look(z);
    return this.contourEdges();
  }

  private contourEdges(): Set<number> {
    const { up, twins } = this;
    const open = new Set<number>();
    const add = (h: number): void => {
      const twin = twins[h];
      if (twin === NO_TWIN || up[(h / 3) | 0] !== up[(twin / 3) | 0]) open.add(h);
    };
    for (const h of this.settled) add(h);
    for (const t of this.steep) {
      for (let corner = 0; corner < 3; corner++) {
        const h = 3 * t + corner;
        add(h);
        if (twins[h] !== NO_TWIN) add(twins[h]);
      }
    }
    return open;
  }

  /** Boundary loops of the upward region (and, at holes, of the downward one reversed) as lists of vertices. */
  private loops(): Uint32Array[] {
    const { up, twins } = this;
    const { triangles } = this.mesh;
    const open = this.contourEdges();
    let anyHole = false;
    for (const h of open) {
      if (twins[h] === NO_TWIN) {
        anyHole = true;
        break;
      }
    }
    const loops: Uint32Array[] = [];
    for (const start of open) {
      const side = up[(start / 3) | 0];
      if (side === 0 && !anyHole) {
        open.delete(start);
        continue;
      }
      const loop: number[] = [];
      let h = start;
      do {
        open.delete(h);
        loop.push(triangles[h]);
        h = nextOnBoundary(h, twins, up, side);
      } while (h !== start && loop.length <= triangles.length);
      if (loop.length >= 3)
        loops.push(side === 1 ? Uint32Array.from(loop) : Uint32Array.from(loop).reverse());
    }
    return loops;
  }

  private unite(loops: readonly Uint32Array[], basis: Basis): SilhouetteRings {
    const { positions: p } = this.mesh;
    const { x, y, z } = basis;
    const cx = dot(x, this.centre);
    const cy = dot(y, this.centre);
    // 2^25 steps across: finer than any scan, and products of two differences stay exact in a double.
    const grain = this.extent / STEPS;
    const subject: Paths64 = loops.map((loop) => {
      const path: Path64 = new Array(loop.length);
      for (let i = 0; i < loop.length; i++) {
        const v = 3 * loop[i];
        const px = p[v];
        const py = p[v + 1];
        const pz = p[v + 2];
        path[i] = {
          x: Math.round((x[0] * px + x[1] * py + x[2] * pz - cx) / grain),
          y: Math.round((y[0] * px + y[1] * py + y[2] * pz - cy) / grain),
          z: z[0] * px + z[1] * py + z[2] * pz,
        };
      }
      return path;
    });
    const clipper = new Clipper64();
    clipper.zCallback = heightAtCrossing;
    clipper.addSubject(subject);
    const united: Paths64 = [];
    clipper.execute(ClipType.Union, FillRule.Positive, united);
    let outer: Path64 = [];
    let outerArea = 0;
    const holes: Path64[] = [];
    for (const path of united) {
      const area = Clipper.area(path);
      if (area < 0) holes.push(path);
      else if (area > outerArea) {
        outerArea = area;
        outer = path;
      }
    }
    const toPoints = (path: Path64): Points3 => {
      const out = new Float64Array(3 * path.length);
      path.forEach((q, i) => {
        out[3 * i] = q.x * grain + cx;
        out[3 * i + 1] = q.y * grain + cy;
        out[3 * i + 2] = q.z ?? 0;
      });
      return out;
    };
    return { outer: toPoints(outer), inner: holes.map(toPoints) };
  }
}

const REFRESH = (12 * Math.PI) / 180;
const COS_REFRESH = Math.cos(REFRESH);
const SIN2_REFRESH = Math.sin(REFRESH) ** 2;
const STEPS = 2 ** 25;
/** What counts as a wall, from upright: 25°. */
export const WALL = (25 * Math.PI) / 180;
const SIN2_UPRIGHT = Math.sin(WALL + REFRESH) ** 2;

/** Whether each triangle looks up along z, 1 in `up`, and is steep, 1 in `isSteep`; lists those that are steep, and upright. */
function judge(
  { positions: p, triangles }: TriangleMesh,
  z: Vector3,
  up: Uint8Array,
  isSteep: Uint8Array,
  steep: number[],
  upright: number[],
): void {
  const normal = new Float64Array(3);
  for (let t = 0; t < up.length; t++) {
    twiceVectorArea(p, triangles, 3 * t, normal);
    const nx = normal[0];
    const ny = normal[1];
    const nz = normal[2];
    const along = nx * z[0] + ny * z[1] + nz * z[2];
    up[t] = along > 0 ? 1 : 0;
    const size = nx * nx + ny * ny + nz * nz;
    if (along * along > SIN2_UPRIGHT * size) continue;
    upright.push(t);
    if (along * along > SIN2_REFRESH * size) continue;
    isSteep[t] = 1;
    steep.push(t);
  }
}

/** Half-edges of the contour between triangles that are not steep. */
function settledContour(twins: Twins, up: Uint8Array, isSteep: Uint8Array): Uint32Array {
  const settled: number[] = [];
  for (let h = 0, t = 0; t < up.length; t++) {
    for (let corner = 0; corner < 3; corner++, h++) {
      const twin = twins[h];
      if (twin === NO_TWIN) {
        if (isSteep[t] === 0) settled.push(h);
        continue;
      }
      const other = (twin / 3) | 0;
      if (up[t] !== up[other] && isSteep[t] === 0 && isSteep[other] === 0) settled.push(h);
    }
  }
  return Uint32Array.from(settled);
}

/** Calls back for the triangles round the vertex of corner h, both ways from it where the mesh is open. */
function eachTriangleAround(h: number, twins: Twins, each: (t: number) => void): void {
  let g = h;
  do {
    each((g / 3) | 0);
    const twin = twins[g % 3 === 0 ? g + 2 : g - 1];
    if (twin === NO_TWIN) break;
    g = twin;
  } while (g !== h);
  if (g === h) return;
  g = h;
  for (;;) {
    const twin = twins[g];
    if (twin === NO_TWIN) return;
    g = twin % 3 === 2 ? twin - 2 : twin + 1;
    each((g / 3) | 0);
  }
}

/** The half-edge that follows `h` along the rim of the region of triangles with `up === side`. */
function nextOnBoundary(h: number, twins: Twins, up: Uint8Array, side: number): number {
  let candidate = h % 3 === 2 ? h - 2 : h + 1;
  for (;;) {
    const twin = twins[candidate];
    if (twin === NO_TWIN || up[(twin / 3) | 0] !== side) return candidate;
    candidate = twin % 3 === 2 ? twin - 2 : twin + 1;
  }
}

/** Where two rims cross in plan the visible edge has no single height: take the mean of the two lines there. */
function heightAtCrossing(a0: Point64, a1: Point64, b0: Point64, b1: Point64, at: Point64): void {
  at.z = (along(a0, a1, at) + along(b0, b1, at)) / 2;
}

function along(from: Point64, to: Point64, at: Point64): number {
  const whole = Math.hypot(to.x - from.x, to.y - from.y);
  const part = Math.hypot(at.x - from.x, at.y - from.y);
  const z0 = from.z ?? 0;
  return whole === 0 ? z0 : z0 + ((to.z ?? 0) - z0) * Math.min(1, part / whole);
}

function boundingSphere(p: Float64Array): { centre: Vector3; extent: number } {
  const min = [Infinity, Infinity, Infinity];
  const max = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < p.length; i += 3) {
    for (let k = 0; k < 3; k++) {
      const v = p[i + k];
      if (v < min[k]) min[k] = v;
      if (v > max[k]) max[k] = v;
    }
  }
  return {
    centre: [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2],
    extent: Math.hypot(max[0] - min[0], max[1] - min[1], max[2] - min[2]) || 1,
  };
}
