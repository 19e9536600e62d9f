/**
 * A triangulation of a plan region that grows by splitting edges.
 * Half-edge `h` is corner h % 3 of triangle ⌊h / 3⌋ and runs from `tri[h]` to the next corner; `twin[h]` is the half-edge
 * running the other way, −1 on the boundary. Triangles are counter-clockwise in plan.
 */
export interface PlanMesh {
  readonly x: number[];
  readonly y: number[];
  readonly tri: number[];
  readonly twin: number[];
}

export const next = (h: number): number => (h % 3 === 2 ? h - 2 : h + 1);
export const previous = (h: number): number => (h % 3 === 0 ? h + 2 : h - 1);

/** Equilateral triangles of the given edge over a rectangle. */
export function triangleGrid(
  box: { x0: number; y0: number; x1: number; y1: number },
  edge: number,
): PlanMesh {
  const rise = edge * Math.sqrt(0.75);
  const columns = Math.ceil((box.x1 - box.x0) / edge) + 2;
  const rows = Math.ceil((box.y1 - box.y0) / rise) + 1;
  const x: number[] = [];
  const y: number[] = [];
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++) {
      x.push(box.x0 + (i - (j % 2) / 2) * edge);
      y.push(box.y0 + j * rise);
    }
  }
  const tri: number[] = [];
  for (let j = 0; j + 1 < rows; j++) {
    for (let i = 0; i + 1 < columns; i++) {
      const a = j * columns + i;
      const c = a + columns;
      if (j % 2 === 0) tri.push(a, c + 1, c, a, a + 1, c + 1);
      else tri.push(a, a + 1, c, a + 1, c + 1, c);
    }
  }
  return { x, y, tri, twin: pairEdges(tri, x.length) };
}

/** Twins of a triangle list over `vertices` vertices. Throws where more than two triangles share an edge. */
export function pairEdges(tri: readonly number[], vertices: number): number[] {
  const twin = new Array<number>(tri.length).fill(-1);
  const open = new Map<number, number>();
  for (let h = 0; h < tri.length; h++) {
    const key = tri[h] * vertices + tri[next(h)];
    if (open.has(key)) throw new Error(`two triangles run the same way along edge ${tri[h]}–${tri[next(h)]}`);
    open.set(key, h);
  }
  for (let h = 0; h < tri.length; h++) twin[h] = open.get(tri[next(h)] * vertices + tri[h]) ?? -1;
  return twin;
}

/** Only the triangles for which `keep` holds, and the largest edge-connected piece of them; vertices renumbered. */
export function keepLargest(
  mesh: PlanMesh,
  keep: (triangle: number) => boolean,
): PlanMesh & { from: number[] } {
  const count = mesh.tri.length / 3;
  const piece = new Int32Array(count).fill(-1);
  let best = -1;
  let bestSize = 0;
  for (let seed = 0; seed < count; seed++) {
    if (piece[seed] >= 0 || !keep(seed)) continue;
    const stack = [seed];
    piece[seed] = seed;
    let size = 0;
    while (stack.length > 0) {
      const t = stack.pop()!;
      size++;
      for (let h = 3 * t; h < 3 * t + 3; h++) {
        const u = mesh.twin[h] < 0 ? -1 : Math.floor(mesh.twin[h] / 3);
        if (u < 0 || piece[u] >= 0 || !keep(u)) continue;
        piece[u] = seed;
        stack.push(u);
      }
    }
    if (size > bestSize) [best, bestSize] = [seed, size];
  }
  return renumbered(mesh, (t) => piece[t] === best);
}

function renumbered(mesh: PlanMesh, keep: (triangle: number) => boolean): PlanMesh & { from: number[] } {
  const to = new Int32Array(mesh.x.length).fill(-1);
  const from: number[] = [];
  const tri: number[] = [];
  for (let h = 0; h < mesh.tri.length; h++) {
    if (!keep(Math.floor(h / 3))) continue;
    const v = mesh.tri[h];
    if (to[v] < 0) to[v] = from.push(v) - 1;
    tri.push(to[v]);
  }
  const x = from.map((v) => mesh.x[v]);
  const y = from.map((v) => mesh.y[v]);
  return { x, y, tri, twin: pairEdges(tri, x.length), from };
}

/** Puts a vertex at (x, y) on edge `h` and splits the triangles on both sides. Returns the new vertex. */
export function splitEdge(mesh: PlanMesh, h: number, x: number, y: number): number {
  const { tri, twin } = mesh;
  const m = mesh.x.push(x) - 1;
  mesh.y.push(y);
  const g = twin[h];
  // Near side: (a, b, c) becomes (a, m, c) and (m, b, c).
  const near = splitSide(mesh, h, m);
  if (g < 0) return m;
  const far = splitSide(mesh, g, m);
  // h now runs a→m and `near` m→b; g runs b→m and `far` m→a.
  twin[h] = far;
  twin[far] = h;
  twin[g] = near;
  twin[near] = g;
  if (tri[h] !== tri[next(far)]) throw new Error('edge split lost its twin');
  return m;
}

/** Splits one triangle at `m` on its edge `h`; `h` keeps the first half, the returned half-edge is the second. */
function splitSide(mesh: PlanMesh, h: number, m: number): number {
  const { tri, twin } = mesh;
  const bc = next(h);
  const b = tri[bc];
  const c = tri[previous(h)];
  const outer = twin[bc];
  const fresh = tri.length;
  tri.push(m, b, c);
  twin.push(-1, outer, bc);
  if (outer >= 0) twin[outer] = fresh + 1;
  tri[bc] = m;
  twin[bc] = fresh + 2;
  return fresh;
}

/** Turns the edge between two triangles into the other diagonal of their quadrilateral. */
export function flipEdge(mesh: PlanMesh, h: number): void {
  const { tri, twin } = mesh;
  const g = twin[h];
  const [hn, hp, gn, gp] = [next(h), previous(h), next(g), previous(g)];
  const [c, d] = [tri[hp], tri[gp]];
  const [bc, ad] = [twin[hn], twin[gn]];
  // h: a→b with c; g: b→a with d. Afterwards h: d→c… with (a, d, c) and (b, c, d).
  tri[hn] = d;
  tri[gn] = c;
  twin[h] = ad;
  if (ad >= 0) twin[ad] = h;
  twin[g] = bc;
  if (bc >= 0) twin[bc] = g;
  twin[hn] = gn;
  twin[gn] = hn;
}

/** Twice the signed plan area of the triangle a b c. */
export function cross(mesh: PlanMesh, a: number, b: number, c: number): number {
  const { x, y } = mesh;
  return (x[b] - x[a]) * (y[c] - y[a]) - (x[c] - x[a]) * (y[b] - y[a]);
}

/** One for every vertex on the boundary. */
export function boundaryVertices(mesh: PlanMesh): Uint8Array {
  const marks = new Uint8Array(mesh.x.length);
  for (let h = 0; h < mesh.tri.length; h++)
    if (mesh.twin[h] < 0) marks[mesh.tri[h]] = marks[mesh.tri[next(h)]] = 1;
  return marks;
}

/** For each vertex the half-edges that start there. */
export function spokesOf(mesh: PlanMesh): number[][] {
  const spokes: number[][] = mesh.x.map(() => []);
  for (let h = 0; h < mesh.tri.length; h++) spokes[mesh.tri[h]].push(h);
  return spokes;
}

/** Whether every triangle at `v` keeps at least `share` of the smallest one's plan area when `v` moves to (x, y). */
export function staysUpright(
  mesh: PlanMesh,
  spokes: readonly number[],
  v: number,
  x: number,
  y: number,
  share: number,
): boolean {
  const area = (h: number): number => cross(mesh, v, mesh.tri[next(h)], mesh.tri[previous(h)]);
  const least = share * Math.min(...spokes.map(area));
  const [x0, y0] = [mesh.x[v], mesh.y[v]];
  mesh.x[v] = x;
  mesh.y[v] = y;
  const upright = least > 0 && spokes.every((h) => area(h) >= least);
  mesh.x[v] = x0;
  mesh.y[v] = y0;
  return upright;
}
