import type { Blow } from './blow.ts';
import { type Scar, scarHeight } from './scar.ts';
import type { FaceId, Stone } from './stone.ts';

/** Share of the wanted thickness that must stay under a scar's floor. */
const LEAST = 0.65;
/** The least that must stay in any case, and what counts as the thin ground of a margin, mm. */
const LAST = 0.3;
const THIN = 1.2;

/** Whether the stone under the scar's floor stays at LEAST of what is wanted there. */
export function leavesEnough(stone: Stone, blow: Blow, scar: Scar): boolean {
  const other = blow.face === 0 ? 1 : 0;
  const parts = { wall: false };
  const step = Math.max(0.4, scar.length / 20);
  for (let u = 0.2 * scar.length; u <= 1.1 * scar.length; u += step) {
    for (let v = -0.6 * scar.halfWidth; v <= 0.6 * scar.halfWidth; v += 0.2 * scar.halfWidth) {
      const x = blow.x + u * blow.dx - v * blow.dy;
      const y = blow.y + u * blow.dy + v * blow.dx;
      const here = stone.height(blow.face, x, y);
      const under = stone.height(other, x, y);
      const floor = scarHeight(scar, x, y, Infinity, parts);
      if (floor > here || here + under < THIN) continue;
      if (floor + under < LAST + LEAST * (blow.wanted(0, x, y) + blow.wanted(1, x, y))) return false;
    }
  }
  return true;
}

/** Ground thinner than this counts as gone, mm. */
const GONE = 0.08;
const KEPT = 0;
const THROUGH = 1;
const OUTSIDE = 2;

/** Whether the flake leaves no hole: wherever it goes through the stone it must bite in from outside. */
export function staysWhole(stone: Stone, face: FaceId, scar: Scar): boolean {
  const other = face === 0 ? 1 : 0;
  const parts = { wall: false };
  const step = Math.min(0.4, Math.max(0.2, scar.halfWidth / 10));
  const columns = Math.ceil((3.2 * scar.halfWidth) / step);
  const behind = Math.min(scar.behind, 8);
  const rows = Math.ceil((behind + 1.2 * scar.length) / step);
  const place = (k: number): readonly [number, number] => {
    const u = Math.floor(k / columns) * step - behind;
    const v = ((k % columns) - columns / 2) * step;
    return [scar.x + u * scar.dx - v * scar.dy, scar.y + u * scar.dy + v * scar.dx];
  };
  const marks = new Uint8Array(columns * rows);
  for (let k = 0; k < marks.length; k++) {
    const [x, y] = place(k);
    const floor = scarHeight(scar, x, y, Infinity, parts);
    if (floor === Infinity) continue;
    const under = stone.height(other, x, y);
    if (floor + under >= GONE) continue;
    marks[k] = stone.height(face, x, y) + under > 0 ? THROUGH : OUTSIDE;
  }
  const isOutside = (k: number): boolean => stone.thickness(...place(k)) <= 0;
  return everyPatchMeetsOutside(marks, columns, isOutside);
}

/** `isOutside` is asked only of ground that the flake leaves alone, next to ground that is gone. */
function everyPatchMeetsOutside(
  marks: Uint8Array,
  columns: number,
  isOutside: (k: number) => boolean,
): boolean {
  for (let seed = 0; seed < marks.length; seed++) {
    if (marks[seed] !== THROUGH) continue;
    const stack = [seed];
    let open = false;
    marks[seed] = KEPT;
    while (stack.length > 0) {
      const k = stack.pop()!;
      for (const n of neighbours(k, columns, marks.length)) {
        if (marks[n] === OUTSIDE) open = true;
        else if (marks[n] === THROUGH) {
          marks[n] = KEPT;
          stack.push(n);
        } else if (!open && isOutside(n)) open = true;
      }
    }
    if (!open) return false;
  }
  return true;
}

function neighbours(k: number, columns: number, count: number): number[] {
  const found: number[] = [];
  if (k % columns > 0) found.push(k - 1);
  if (k % columns < columns - 1) found.push(k + 1);
  if (k >= columns) found.push(k - columns);
  if (k + columns < count) found.push(k + columns);
  return found;
}
