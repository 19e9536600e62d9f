export type Edge = readonly [from: number, to: number];

/** Rims of holes by counting: edges that no other runs back along, chained end to start. For rims that touch nowhere. */
export function rimsByBruteForce(edges: readonly Edge[]): number[][] {
  const all = new Set(edges.map(([a, b]) => `${a} ${b}`));
  const next = new Map(edges.filter(([a, b]) => !all.has(`${b} ${a}`)));
  const rims: number[][] = [];
  while (next.size > 0) {
    const rim: number[] = [];
    for (let v = next.keys().next().value; v !== undefined && next.has(v); ) {
      rim.push(v);
      const after = next.get(v);
      next.delete(v);
      v = after;
    }
    rims.push(rim);
  }
  return rims;
}
