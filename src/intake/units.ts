import type { Warning } from '../geometry/types.ts';
import { type LengthUnit, MM_PER_UNIT, type ScanFormat, type ScanUnit } from './types.ts';

/** Length of a biface, mm; what lies outside is not taken for one. */
const SHORTEST = 15;
const LONGEST = 400;

/** What is seldom but can be, a microlith or a giant, mm: such a length is named, and taken where no unit makes an ordinary one. */
const TINIEST = 4;
const HUGEST = 800;

/**
 * Units in the order in which they are tried: where two would both make a biface, the one that scans are more often
 * saved in is named first (common practice, no source).
 */
const LIKELY: readonly LengthUnit[] = ['mm', 'm', 'cm', 'in', 'um'];

const NAMES: Readonly<Record<LengthUnit, string>> = {
  um: 'micrometres',
  mm: 'millimetres',
  cm: 'centimetres',
  m: 'metres',
  in: 'inches',
};

export interface SettledUnit {
  readonly unit: ScanUnit;
  readonly warnings: readonly Warning[];
}

/** Decides the unit of a scan whose greatest extent is `size` in the file's own numbers. */
export function settleUnit(size: number, format: ScanFormat, given?: LengthUnit): SettledUnit {
  const settled = (unit: LengthUnit, method: ScanUnit['method'], why: string): SettledUnit => ({
    unit: { unit, method },
    warnings: isPlausible(size, unit) ? [] : [implausible(size, unit, why)],
  });
  if (given !== undefined) return settled(given, 'given', 'As given');
  if (format === 'gltf' || format === 'glb') return settled('m', 'standard', 'By the glTF standard');
  const likely = LIKELY.find((unit) => isPlausible(size, unit));
  const unit = likely ?? LIKELY.find((one) => isPossible(size, one)) ?? 'mm';
  const guessed: Warning = {
    code: 'units-guessed',
    text: `The file names no unit; ${NAMES[unit]} were taken, which makes the piece ${inMillimetres(size, unit)} long${elsewise(size, unit)}. Please confirm the unit.`,
  };
  const { warnings } = settled(unit, 'guessed', 'For want of a better guess');
  return { unit: { unit, method: 'guessed' }, warnings: [guessed, ...warnings] };
}

function isPlausible(size: number, unit: LengthUnit): boolean {
  const millimetres = size * MM_PER_UNIT[unit];
  return millimetres >= SHORTEST && millimetres <= LONGEST;
}

function isPossible(size: number, unit: LengthUnit): boolean {
  const millimetres = size * MM_PER_UNIT[unit];
  return millimetres >= TINIEST && millimetres <= HUGEST;
}

function implausible(size: number, unit: LengthUnit, why: string): Warning {
  return {
    code: 'size-implausible',
    text: `${why}, lengths are in ${NAMES[unit]} and the piece is ${inMillimetres(size, unit)} long${elsewise(size, unit)}; a biface is ${SHORTEST} to ${LONGEST} mm long. Please check the unit.`,
  };
}

/**
 * How long the piece would be in the other units that make a biface of it, as clauses to go on with. One that is seldom so
 * small or large is named in millimetres, the commonest unit, and in any where the unit taken makes no biface either.
 */
function elsewise(size: number, taken: LengthUnit): string {
  const isSure = isPlausible(size, taken);
  return LIKELY.filter(
    (unit) =>
      unit !== taken && (isPlausible(size, unit) || ((unit === 'mm' || !isSure) && isPossible(size, unit))),
  )
    .map((unit) => `; in ${NAMES[unit]} it would be ${inMillimetres(size, unit)}`)
    .join('');
}

function inMillimetres(size: number, unit: LengthUnit): string {
  return `${Number((size * MM_PER_UNIT[unit]).toPrecision(3))} mm`;
}

/** Steps of single precision that are a larger share of the piece than this can be seen in its numbers. */
const COARSE = 1e-4;

/**
 * A warning where every coordinate is of single precision and lies so far out that its steps are coarse. `mmPerUnit`: of the
 * file's lengths.
 */
export function coarseCoordinates(positions: Float64Array, mmPerUnit: number): Warning[] {
  let farthest = 0;
  for (let i = 0; i < positions.length; i++) farthest = Math.max(farthest, Math.abs(positions[i]));
  const step = 2 ** (Math.floor(Math.log2(farthest)) - 23);
  if (!(step > COARSE * greatestExtent(positions)) || positions.some((value) => Math.fround(value) !== value))
    return [];
  return [
    {
      code: 'coarse-coordinates',
      text: `The piece lies so far from the origin of its file that its places are kept to steps of ${Number((step * mmPerUnit).toPrecision(2))} mm only; save it nearer to the origin.`,
    },
  ];
}

/**
 * Greatest extent: from the vertex farthest from the centre to the one farthest from that. The same in every pose, never
 * more than the true diameter and never less than it over √3.
 */
export function greatestExtent(positions: Float64Array): number {
  const n = positions.length / 3;
  const centre = [0, 0, 0];
  for (let i = 0; i < positions.length; i += 3) {
    for (let k = 0; k < 3; k++) centre[k] += positions[i + k] / n;
  }
  const first = farthestFrom(positions, centre[0], centre[1], centre[2]);
  const [x, y, z] = positions.subarray(first, first + 3);
  const second = farthestFrom(positions, x, y, z);
  return Math.hypot(positions[second] - x, positions[second + 1] - y, positions[second + 2] - z);
}

/** Offset of the vertex farthest from a place. */
function farthestFrom(positions: Float64Array, x: number, y: number, z: number): number {
  let best = 0;
  let most = -1;
  for (let i = 0; i < positions.length; i += 3) {
    const dx = positions[i] - x;
    const dy = positions[i + 1] - y;
    const dz = positions[i + 2] - z;
    const squared = dx * dx + dy * dy + dz * dz;
    if (squared > most) {
      most = squared;
      best = i;
    }
  }
  return best;
}
