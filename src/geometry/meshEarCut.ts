/**
 * Cuts a ring of vertices, seen along its own mean normal, into triangles wound like the ring, using every vertex and no
 * other. Picks the best-shaped ear each time, at a cost that grows with the square of n. Returns 3 × (n − 2) vertex
 * indices, or null where the ring crosses itself in that view or encloses no area.
 */
export function triangulateRing(positions: Float64Array, ring: Uint32Array): Uint32Array | null {
  if (ring.length < 3) return null;
  const plane = flatten(positions, ring);
  if (plane === null) return null;
  const { x, y } = plane;
  if (isConvex(x, y)) return convexRing(ring, x, y);
  return cutEars(ring, x, y);
}

/** The ring in the plane square to its vector area, counter-clockwise; null when it encloses none. */
function flatten(p: Float64Array, ring: Uint32Array): { x: Float64Array; y: Float64Array } | null {
  const n = ring.length;
  const o = 3 * ring[0];
  let nx = 0;
  let ny = 0;
  let nz = 0;
  let size = 0;
  for (let k = 0; k < n; k++) {
    const a = 3 * ring[k];
    const b = 3 * ring[k + 1 === n ? 0 : k + 1];
    const ax = p[a] - p[o];
    const ay = p[a + 1] - p[o + 1];
    const az = p[a + 2] - p[o + 2];
    const bx = p[b] - p[o];
    const by = p[b + 1] - p[o + 1];
    const bz = p[b + 2] - p[o + 2];
    nx += ay * bz - az * by;
    ny += az * bx - ax * bz;
    nz += ax * by - ay * bx;
    size = Math.max(size, Math.hypot(bx, by, bz));
  }
  const length = Math.hypot(nx, ny, nz);
  if (!(length > 1e-9 * size * size)) return null;
  // Two directions square to the normal: the first is square to the normal's smallest component.
  const ux = Math.abs(nx) <= Math.abs(ny) && Math.abs(nx) <= Math.abs(nz) ? [1, 0, 0] : [0, 0, 0];
  if (ux[0] === 0) ux[Math.abs(ny) <= Math.abs(nz) ? 1 : 2] = 1;
  const normal = [nx / length, ny / length, nz / length];
  const first = unit(cross(ux, normal));
  const second = cross(normal, first);
  const x = new Float64Array(n);
  const y = new Float64Array(n);
  for (let k = 0; k < n; k++) {
    const a = 3 * ring[k];
    const d = [(p[a] - p[o]) / size, (p[a + 1] - p[o + 1]) / size, (p[a + 2] - p[o + 2]) / size];
    x[k] = d[0] * first[0] + d[1] * first[1] + d[2] * first[2];
    y[k] = d[0] * second[0] + d[1] * second[1] + d[2] * second[2];
  }
  return { x, y };
}

function cross(a: readonly number[], b: readonly number[]): number[] {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

function unit(a: readonly number[]): number[] {
  const length = Math.hypot(a[0], a[1], a[2]);
  return [a[0] / length, a[1] / length, a[2] / length];
}

/** Twice the signed area of corners i, j, k. */
function turn(x: Float64Array, y: Float64Array, i: number, j: number, k: number): number {
  return (x[j] - x[i]) * (y[k] - y[i]) - (x[k] - x[i]) * (y[j] - y[i]);
}

/** Strictly convex at every corner and going round once. */
function isConvex(x: Float64Array, y: Float64Array): boolean {
  const n = x.length;
  let rising = 0;
  for (let k = 0; k < n; k++) {
    const j = (k + 1) % n;
    if (!(turn(x, y, k, j, (k + 2) % n) > 1e-12)) return false;
    if (y[k] <= y[j] && y[j] > y[(k + 2) % n]) rising++;
  }
  return rising === 1;
}

/** A convex ring: quads along the shorter diagonal, longer rings cut in halves so that no long needles fan out. */
function convexRing(ring: Uint32Array, x: Float64Array, y: Float64Array): Uint32Array {
  const out = new Uint32Array(3 * (ring.length - 2));
  let used = 0;
  const put = (i: number, j: number, k: number): void => {
    out[used++] = ring[i];
    out[used++] = ring[j];
    out[used++] = ring[k];
  };
  if (ring.length === 4) {
    const direct = Math.hypot(x[2] - x[0], y[2] - y[0]) <= Math.hypot(x[3] - x[1], y[3] - y[1]);
    put(0, 1, direct ? 2 : 3);
    put(direct ? 0 : 1, 2, 3);
    return out;
  }
  const halve = (from: number, to: number): void => {
    if (to - from < 2) return;
    const middle = (from + to) >> 1;
    put(from, middle, to);
    halve(from, middle);
    halve(middle, to);
  };
  halve(0, ring.length - 1);
  return out;
}

function cutEars(ring: Uint32Array, x: Float64Array, y: Float64Array): Uint32Array | null {
  const n = ring.length;
  const before = Int32Array.from({ length: n }, (_, k) => (k + n - 1) % n);
  const after = Int32Array.from({ length: n }, (_, k) => (k + 1) % n);
  const quality = new Float64Array(n);
  for (let k = 0; k < n; k++) quality[k] = earQuality(x, y, before, after, k);
  const out = new Uint32Array(3 * (n - 2));
  let used = 0;
  let at = 0;
  for (let left = n; left > 3; left--) {
    let best = at;
    for (let k = after[at]; k !== at; k = after[k]) if (quality[k] > quality[best]) best = k;
    if (!(quality[best] > 0)) return null;
    const i = before[best];
    const k = after[best];
    out[used++] = ring[i];
    out[used++] = ring[best];
    out[used++] = ring[k];
    after[i] = k;
    before[k] = i;
    at = i;
    quality[i] = earQuality(x, y, before, after, i);
    quality[k] = earQuality(x, y, before, after, k);
  }
  if (!(turn(x, y, before[at], at, after[at]) > 0)) return null;
  out[used++] = ring[before[at]];
  out[used++] = ring[at];
  out[used++] = ring[after[at]];
  return out;
}

/** Shape of the ear at corner j: area over the sum of squared sides (most for equal sides); 0 when it is none. */
function earQuality(
  x: Float64Array,
  y: Float64Array,
  before: Int32Array,
  after: Int32Array,
  j: number,
): number {
  const i = before[j];
  const k = after[j];
  const area = turn(x, y, i, j, k);
  const sides =
    (x[j] - x[i]) ** 2 +
    (y[j] - y[i]) ** 2 +
    (x[k] - x[j]) ** 2 +
    (y[k] - y[j]) ** 2 +
    (x[i] - x[k]) ** 2 +
    (y[i] - y[k]) ** 2;
  if (!(area > 1e-12 * sides)) return 0;
  for (let m = after[k]; m !== i; m = after[m]) {
    if (turn(x, y, i, j, m) >= 0 && turn(x, y, j, k, m) >= 0 && turn(x, y, k, i, m) >= 0) {
      return 0;
    }
  }
  return area / sides;
}
