/** Corner after h in its triangle: where half-edge h ends. */
export function nextCorner(h: number): number {
  return h % 3 === 2 ? h - 2 : h + 1;
}

/** Corner before h in its triangle: the one opposite to half-edge h. */
export function apexCorner(h: number): number {
  return h % 3 === 0 ? h + 2 : h - 1;
}
