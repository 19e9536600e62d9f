import { sortByLevel } from './slicesSort.ts';
import { NO_TWIN, type Points2, type TriangleMesh, type Twins } from './types.ts';

/** Which coordinate is constant on the cutting planes: 0 x, 1 y, 2 z. */
export type SliceAxis = 0 | 1 | 2;

export interface SliceLoop {
  /**
   * Interleaved pairs of the two other coordinates in the order x, y, z: (y, z), (x, z) or (x, y). Counter-clockwise
   * in that plane round the inside of the mesh, clockwise round a hollow.
   */
  readonly points: Points2;
  /** False where the mesh is open and the loop was closed straight across one gap or more. */
  readonly closed: boolean;
}

export interface Slice {
  readonly level: number;
  readonly loops: readonly SliceLoop[];
}

/**
 * Cuts an oriented mesh by many parallel planes in one pass over its triangles.
 * A vertex that lies exactly on a plane counts as above it, so that no triangle is cut twice or missed.
 * O(vertices + triangles + length of the cuts); one word for each triangle beside the result.
 *
 * @param twins pairs of half-edges; where one has none, chains of segments end and are joined across the gap
 * @param levels rising
 */
export function sliceMesh(mesh: TriangleMesh, twins: Twins, levels: Float64Array, axis: SliceAxis): Slice[] {
  const { starts, items, ranks } = sortByLevel(mesh, levels, axis);
  const pending = new Uint8Array(mesh.triangles.length / 3);
  const walker = new Walker(mesh, twins, ranks, pending, axis);
  return Array.from(levels, (level, k) => {
    for (let i = starts[k]; i < starts[k + 1]; i++) pending[items[i]] = 1;
    const loops: SliceLoop[] = [];
    const chains: Points2[] = [];
    for (let i = starts[k]; i < starts[k + 1]; i++) {
      if (pending[items[i]] === 0) continue;
      const closed = walker.walk(items[i], level, k);
      const points = walker.take();
      if (closed) loops.push({ points, closed });
      else chains.push(points);
    }
    for (const points of joinChains(chains)) loops.push({ points, closed: false });
    return { level, loops };
  });
}

/** Follows the cut from triangle to triangle across shared edges. */
class Walker {
  private readonly positions: Float64Array;
  private readonly triangles: Uint32Array;
  private readonly u: number;
  private readonly v: number;
  /** Half-edges by which the cut leaves a triangle run up through the plane, or down for y: (x, z) is left-handed. */
  private readonly leavesUp: boolean;
  private points = new Float64Array(2048);
  private size = 0;

  constructor(
    mesh: TriangleMesh,
    private readonly twins: Twins,
    private readonly ranks: Uint16Array,
    private readonly pending: Uint8Array,
    private readonly axis: SliceAxis,
  ) {
    this.positions = mesh.positions;
    this.triangles = mesh.triangles;
    this.u = axis === 0 ? 1 : 0;
    this.v = axis === 2 ? 1 : 2;
    this.leavesUp = axis !== 1;
  }

  /** Collects the cut through `start`; true where it came back to it. */
  walk(start: number, level: number, k: number): boolean {
    this.size = 0;
    const { pending, twins } = this;
    let t = start;
    for (;;) {
      pending[t] = 0;
      const exit = this.crossing(t, k, this.leavesUp);
      this.add(exit, level);
      const twin = twins[exit];
      if (twin === NO_TWIN) break;
      t = (twin / 3) | 0;
      if (t === start) return true;
      if (pending[t] === 0) break;
    }
    this.walkBack(start, level, k);
    return false;
  }

  take(): Points2 {
    return this.points.slice(0, this.size);
  }

  /** From the entry of `start` against the direction of the cut to its other end; puts that in front. */
  private walkBack(start: number, level: number, k: number): void {
    const ahead = this.take();
    this.size = 0;
    let t = start;
    for (;;) {
      const entry = this.crossing(t, k, !this.leavesUp);
      this.add(entry, level);
      const twin = this.twins[entry];
      if (twin === NO_TWIN) break;
      t = (twin / 3) | 0;
      if (this.pending[t] === 0) break;
      this.pending[t] = 0;
    }
    const back = this.take();
    this.size = 0;
    for (let i = back.length - 2; i >= 0; i -= 2) this.push(back[i], back[i + 1]);
    for (let i = 0; i < ahead.length; i += 2) this.push(ahead[i], ahead[i + 1]);
  }

  /** The half-edge of a triangle that runs through level k upwards (or downwards). */
  private crossing(t: number, k: number, up: boolean): number {
    const { triangles, ranks } = this;
    const h = 3 * t;
    const a = ranks[triangles[h]] > k;
    const b = ranks[triangles[h + 1]] > k;
    const c = ranks[triangles[h + 2]] > k;
    if (up) return !a && b ? h : !b && c ? h + 1 : h + 2;
    return a && !b ? h : b && !c ? h + 1 : h + 2;
  }

  private add(h: number, level: number): void {
    const { positions: p, triangles, axis } = this;
    const a = 3 * triangles[h];
    const b = 3 * triangles[h % 3 === 2 ? h - 2 : h + 1];
    const f = (level - p[a + axis]) / (p[b + axis] - p[a + axis]);
    this.push(
      p[a + this.u] + f * (p[b + this.u] - p[a + this.u]),
      p[a + this.v] + f * (p[b + this.v] - p[a + this.v]),
    );
  }

  private push(x: number, y: number): void {
    if (this.size === this.points.length) {
      const grown = new Float64Array(2 * this.size);
      grown.set(this.points);
      this.points = grown;
    }
    this.points[this.size++] = x;
    this.points[this.size++] = y;
  }
}

/** Joins each chain's end to the nearest start among those left, its own included; a loop closes on its own start. */
function joinChains(chains: readonly Points2[]): Points2[] {
  const left = [...chains];
  const loops: Points2[] = [];
  while (left.length > 0) {
    const loop = [left.shift()!];
    for (;;) {
      const end = loop[loop.length - 1];
      const next = nearestStart(end, [loop[0], ...left]);
      if (next === loop[0]) break;
      loop.push(next);
      left.splice(left.indexOf(next), 1);
    }
    const points = new Float64Array(loop.reduce((sum, part) => sum + part.length, 0));
    let at = 0;
    for (const part of loop) {
      points.set(part, at);
      at += part.length;
    }
    loops.push(points);
  }
  return loops;
}

function nearestStart(end: Points2, starts: readonly Points2[]): Points2 {
  const x = end[end.length - 2];
  const y = end[end.length - 1];
  let best = starts[0];
  let least = Infinity;
  for (const start of starts) {
    const d = (start[0] - x) ** 2 + (start[1] - y) ** 2;
    if (d < least) {
      least = d;
      best = start;
    }
  }
  return best;
}

/**
 * Areas of the cuts alone, by Green's theorem over the segments in any order: cheaper than loops.
 * Right for closed meshes only.
 */
export function sliceAreas(mesh: TriangleMesh, levels: Float64Array, axis: SliceAxis): Float64Array {
  const { positions: p, triangles } = mesh;
  const { starts, items, ranks } = sortByLevel(mesh, levels, axis);
  const u = axis === 0 ? 1 : 0;
  const v = axis === 2 ? 1 : 2;
  const sign = axis === 1 ? -1 : 1;
  const areas = new Float64Array(levels.length);
  for (let k = 0; k < levels.length; k++) {
    const level = levels[k];
    let twice = 0;
    for (let i = starts[k]; i < starts[k + 1]; i++) {
      const h = 3 * items[i];
      let upU = 0;
      let upV = 0;
      let downU = 0;
      let downV = 0;
      for (let c = 0; c < 3; c++) {
        const from = triangles[h + c];
        const to = triangles[c === 2 ? h : h + c + 1];
        const rises = ranks[to] > k;
        if (ranks[from] > k === rises) continue;
        const a = 3 * from;
        const b = 3 * to;
        const f = (level - p[a + axis]) / (p[b + axis] - p[a + axis]);
        const x = p[a + u] + f * (p[b + u] - p[a + u]);
        const y = p[a + v] + f * (p[b + v] - p[a + v]);
        if (rises) {
          upU = x;
          upV = y;
        } else {
          downU = x;
          downV = y;
        }
      }
      twice += downU * upV - upU * downV;
    }
    areas[k] = (sign * twice) / 2;
  }
  return areas;
}
