import type { Column } from './columns.ts';
import { moved } from './pose.ts';
import type { SpecimenFrame } from './specimenFrame.ts';
import type { FaceId, Stone } from './stone.ts';

/** A place that the knapper could not thin, in the stone's own coordinates. mm. */
export interface PlannedHump {
  readonly face: FaceId;
  readonly x: number;
  readonly y: number;
  readonly radius: number;
  /** The height that the face would have had there. */
  readonly wanted: (x: number, y: number) => number;
}

export interface HumpTruth {
  readonly face: 'A' | 'B';
  /** Highest point over the face that was wanted: frame x y z, mm. */
  readonly peak: readonly [number, number, number];
  readonly station: number;
  /** Height of the peak over the wanted face, mm. */
  readonly excess: number;
  /** Topographic prominence of that excess, mm, within twice the hump's radius. */
  readonly prominence: number;
  readonly thickness: number;
}

const CELL = 0.5;

export function humpTruth(column: Column, frame: SpecimenFrame, stone: Stone, hump: PlannedHump): HumpTruth {
  const field = excessAround(stone, hump);
  const { x, y, excess, prominence } = mostProminent(field);
  const z = (hump.face === 0 ? 1 : -1) * stone.height(hump.face, x, y);
  const [px, py, pz] = moved(frame.pose, Float64Array.of(x, y, z));
  const [top, bottom] = column(px, py);
  return {
    face: hump.face === frame.faceA ? 'A' : 'B',
    peak: [px, py, pz],
    station: (100 * py) / frame.length,
    excess,
    prominence,
    thickness: top - bottom,
  };
}

interface Field {
  readonly side: number;
  readonly value: Float64Array;
  readonly x: (k: number) => number;
  readonly y: (k: number) => number;
}

function excessAround(stone: Stone, hump: PlannedHump): Field {
  const half = Math.ceil((2 * hump.radius) / CELL);
  const side = 2 * half + 1;
  const x = (k: number): number => hump.x + ((k % side) - half) * CELL;
  const y = (k: number): number => hump.y + (Math.floor(k / side) - half) * CELL;
  const value = Float64Array.from({ length: side * side }, (_, k) =>
    stone.thickness(x(k), y(k)) > 0
      ? stone.height(hump.face, x(k), y(k)) - hump.wanted(x(k), y(k))
      : -Infinity,
  );
  return { side, value, x, y };
}

/**
 * Floods the field from above: when two islands meet, the lower peak's prominence is its height over the meeting place. The
 * highest peak's is its height over the highest ground on the field's rim, where it would meet the rest of the face.
 */
function mostProminent(field: Field): { x: number; y: number; excess: number; prominence: number } {
  const { side, value } = field;
  let peak = 0;
  for (let k = 0; k < value.length; k++) if (value[k] > value[peak]) peak = k;
  const order = Array.from(value.keys()).sort((a, b) => value[b] - value[a]);
  const flooded = new Uint8Array(value.length);
  const island = new Int32Array(value.length).map((_, k) => k);
  const root = (k: number): number => {
    while (island[k] !== k) k = island[k] = island[island[k]];
    return k;
  };
  for (const k of order) {
    flooded[k] = 1;
    const column = k % side;
    const row = Math.floor(k / side);
    for (const [dc, dr] of [
      [1, 0],
      [-1, 0],
      [0, 1],
      [0, -1],
    ]) {
      const [c, r] = [column + dc, row + dr];
      if (c < 0 || r < 0 || c >= side || r >= side || !flooded[r * side + c]) continue;
      island[root(r * side + c)] = root(k);
    }
    const onRim = column === 0 || row === 0 || column === side - 1 || row === side - 1;
    if (onRim && root(k) === root(peak) && flooded[peak]) {
      return { x: field.x(peak), y: field.y(peak), excess: value[peak], prominence: value[peak] - value[k] };
    }
  }
  throw new Error('a hump without a foot');
}
