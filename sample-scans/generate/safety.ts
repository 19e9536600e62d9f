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

/** Whether the flake leaves no hole: wherever it goes through the stone it must bite in from outside. */
export function staysWhole(stone: Stone, face: FaceId, scar: Scar): boolean {
  const other = face === 0 ? 1 : 0;
  const parts = { wall: false };
  const step = Math.max(0.25, scar.halfWidth / 10);
  const columns = Math.ceil((3.2 * scar.halfWidth) / step);
  const behind = Math.min(scar.behind, 2 * scar.halfWidth);
  const rows = Math.ceil((behind + 1.2 * scar.length) / step);
  const through = new Uint8Array(columns * rows);
  for (let k = 0; k < through.length; k++) {
    const u = Math.floor(k / columns) * step - behind;
    const v = ((k % columns) - columns / 2) * step;
    const x = scar.x + u * scar.dx - v * scar.dy;
    const y = scar.y + u * scar.dy + v * scar.dx;
    const floor = Math.min(stone.height(face, x, y), scarHeight(scar, x, y, Infinity, parts));
    if (floor + stone.height(other, x, y) < 0.1) through[k] = 1;
  }
  return everyPatchReachesRim(through, columns, rows);
}

function everyPatchReachesRim(marks: Uint8Array, columns: number, rows: number): boolean {
  const stack: number[] = [];
  const take = (k: number): void => {
    if (marks[k] !== 1) return;
    marks[k] = 2;
    stack.push(k);
  };
  for (let i = 0; i < columns; i++) {
    take(i);
    take(i + (rows - 1) * columns);
  }
  for (let j = 0; j < rows; j++) {
    take(j * columns);
    take(j * columns + columns - 1);
  }
  while (stack.length > 0) {
    const k = stack.pop()!;
    if (k % columns > 0) take(k - 1);
    if (k % columns < columns - 1) take(k + 1);
    if (k >= columns) take(k - columns);
    if (k < marks.length - columns) take(k + columns);
  }
  return !marks.includes(1);
}
