import type { Peak } from '../geometry/fieldPeak.ts';
import { chordAt, greatestChord, indexChords } from '../geometry/polygonChords.ts';
import { type Slice, sliceMesh } from '../geometry/slices.ts';
import type { Model } from '../trace/types.ts';
import type { Plan } from './outlinePlan.ts';
import { placeOf, type ThicknessField, thicknessAt } from './thicknessField.ts';
import type { MeasureSettings, Section } from './types.ts';

/** Stations (percent) at which every piece is cut. */
export const SECTION_STATIONS = [10, 20, 30, 40, 50, 60, 70, 80, 90] as const;
/** Heights about the thickest place, in cells of the map, at which it is looked for between the cells. */
const FINE_ROWS = [-0.5, -0.25, 0, 0.25, 0.5];
/** Between cells the raw surface may stand higher by chance alone, by about this many standard deviations. */
const CHANCE = 2.5;

/** A section of the mesh and why it is here. mm. */
export interface SectionCut {
  readonly at: Section['at'];
  /** Percent. */
  readonly station: number;
  readonly y: number;
  /** Pairs of x z, outer loops counter-clockwise. */
  readonly loops: readonly Float64Array[];
  /** No gap of the scan was bridged. */
  readonly closed: boolean;
  /** Greatest thickness across it, free of noise; undefined where no cell of the map there has two faces. */
  readonly thickness: Peak | undefined;
}

export interface SectionCuts {
  /** Rising in y. */
  readonly list: readonly SectionCut[];
  /** Greatest thickness of the whole piece. */
  readonly peak: Peak | undefined;
}

/** Cuts everything that is asked for in one pass over the mesh. */
export function makeCuts(
  model: Model,
  settings: MeasureSettings,
  plan: Plan,
  field: ThicknessField,
): SectionCuts {
  const { surface } = model;
  if (surface === undefined) throw new Error('sections need a scanned surface');
  const wanted = wantedCuts(model, settings.sectionStations, plan, field);
  const fine = fineRows(field);
  const levels = Float64Array.from([...wanted.map(({ y }) => y), ...fine]).sort();
  const slices = new Map(
    sliceMesh(surface.mesh, surface.twins, levels, 1).map((slice) => [slice.level, slice]),
  );
  const list = wanted.map((cut): SectionCut => {
    const loops = loopsOf(slices.get(cut.y));
    return {
      ...cut,
      loops,
      closed: slices.get(cut.y)?.loops.every(({ closed }) => closed) ?? false,
      thickness: refined(thicknessAt(field, cut.y), loops, [loops], field),
    };
  });
  const around = fine.map((y) => loopsOf(slices.get(y)));
  return { list, peak: refined(field.peak, around[FINE_ROWS.indexOf(0)], around, field) };
}

/** The cut at a fixed station. */
export function cutAtStation({ list }: SectionCuts, station: number): SectionCut | undefined {
  return list.find((cut) => cut.at === 'station' && cut.station === station);
}

type Wanted = Pick<SectionCut, 'at' | 'station' | 'y'>;

function wantedCuts(model: Model, asked: readonly number[], plan: Plan, field: ThicknessField): Wanted[] {
  const { length } = model;
  const stations = [...new Set([...SECTION_STATIONS, ...asked])].filter((s) => s > 0 && s < 100);
  const wanted: Wanted[] = stations.map((station) => ({
    at: 'station',
    station,
    y: (station / 100) * length,
  }));
  const add = (at: Section['at'], y: number): void => {
    wanted.push({ at, station: Math.min(100, Math.max(0, (100 * y) / length)), y });
  };
  add('width', plan.greatest.y);
  if (field.peak !== undefined) add('thickness', placeOf(field.peak, field.map).y);
  return wanted.sort((a, b) => a.y - b.y);
}

function fineRows({ peak, map }: ThicknessField): number[] {
  if (peak === undefined) return [];
  const { y } = placeOf(peak, map);
  return FINE_ROWS.map((cells) => y + cells * map.cell);
}

function loopsOf(slice: Slice | undefined): Float64Array[] {
  return (slice?.loops ?? []).map(({ points }) => points).filter((points) => points.length >= 6);
}

/**
 * A crest may run between the cells of the map. What the exact sections round it show beyond the section `through` it at
 * its own x is added, as far as it is more than noise alone would give; without noise they are the truth.
 */
function refined(
  peak: Peak | undefined,
  through: readonly Float64Array[] | undefined,
  around: readonly (readonly Float64Array[])[],
  { map, thickness }: ThicknessField,
): Peak | undefined {
  if (peak === undefined) return peak;
  const { x } = placeOf(peak, map);
  let most = 0;
  for (const loops of around) most = Math.max(most, greatestHeight(loops, x - map.cell, x + map.cell));
  if (thickness.sigma === 0) return { ...peak, value: Math.max(peak.value, most) };
  if (through === undefined || through.length === 0) return peak;
  const gain = most - greatestHeight(through, x, x) - CHANCE * thickness.sigma;
  return { ...peak, value: peak.value + Math.max(0, gain) };
}

/** Greatest z extent at one x of loops, x within a range: exact, at the corners of the loops or the range's ends. */
function greatestHeight(loops: readonly Float64Array[], from: number, to: number): number {
  if (loops.length === 0) return 0;
  const upright = indexChords(loops.map(transposed));
  const height = (x: number): number => {
    const chord = chordAt(upright, x);
    return chord === null ? 0 : chord.right - chord.left;
  };
  const whole = greatestChord(upright);
  if (whole.y >= from && whole.y <= to) return whole.right - whole.left;
  let most = Math.max(height(from), height(to));
  for (const loop of loops) {
    for (let i = 0; i < loop.length; i += 2) {
      if (loop[i] > from && loop[i] < to) most = Math.max(most, height(loop[i]));
    }
  }
  return most;
}

function transposed(loop: Float64Array): Float64Array {
  return loop.map((_, i) => loop[i % 2 === 0 ? i + 1 : i - 1]);
}
