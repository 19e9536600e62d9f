import { measureScan } from '../../src/record/measureScan.ts';
import type { SpecimenRecord } from '../../src/record/schema.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { smallScan } from '../cli/run.ts';
import { createRandom } from '../pieces/random.ts';

let base: Promise<SpecimenRecord> | undefined;

/** The record of a small ovate, measured. */
export function ovateRecord(): Promise<SpecimenRecord> {
  base ??= measureScan(smallScan('ovate'), 'ovate.ply', DEFAULT_SETTINGS).then(({ record }) => record);
  return base;
}

export const MATERIALS = ['chert', 'obsidian', 'quartzite'] as const;

/**
 * Records of invented pieces: the ovate stretched along and across at random, measures moved with it or about their value, and
 * what is long (margin, series but the Fourier one, sections, humps) left out. Obsidian pieces are thinner by a tenth.
 * The same seed gives the same records. `kept`: the measures that they have.
 */
export async function madeRecords(
  count: number,
  seed: number,
  kept: (id: string) => boolean = () => true,
): Promise<SpecimenRecord[]> {
  const whole = await ovateRecord();
  const from = { ...whole, measurements: whole.measurements.filter(({ id }) => kept(id)) };
  const random = createRandom(seed);
  const outer = from.outline.outer.filter((_, i) => i % 8 === 0);
  return Array.from({ length: count }, (_, i) => {
    const along = Math.exp(0.25 * random.normal());
    const across = along * Math.exp(0.12 * random.normal());
    const material = MATERIALS[Math.floor(random.next() * MATERIALS.length)];
    const thin = material === 'obsidian' ? 0.9 : 1;
    const factorOf = (id: string): number => {
      if (id === 'length') return along;
      if (id.startsWith('width') && id !== 'width.thickness') return across;
      if (id.startsWith('thickness')) return across * thin;
      if (id === 'width.thickness') return 1 / thin;
      return 1;
    };
    return {
      ...from,
      catalogue: { number: `GEN ${i + 1}`, material },
      measurements: from.measurements.map((m) =>
        typeof m.value === 'number' && m.unit !== 'count'
          ? { ...m, value: Number((m.value * factorOf(m.id) * (1 + 0.06 * random.normal())).toPrecision(8)) }
          : m,
      ),
      outline: { outer: outer.map(([x, y]) => [x * across, y * along] as const), inner: [] },
      midline: [],
      margin: [],
      profile: { y: [], faceA: [], faceB: [] },
      series:
        from.series.fourier === undefined ? {} : { fourier: jittered(from.series.fourier, random.normal) },
      sections: [],
      humps: [],
      warnings: [],
    };
  });
}

type Table = NonNullable<SpecimenRecord['series'][string]>;

/** Low harmonics moved a little, so that shapes differ. */
function jittered(table: Table, normal: () => number): Table {
  const move = (column: Table[string]): Table[string] =>
    column.map((cell, h) =>
      typeof cell === 'number' && h > 0
        ? Number((cell + (0.02 * normal()) / (h + 1) ** 2).toPrecision(8))
        : cell,
    );
  const { harmonic, ...parts } = table;
  return { harmonic, ...Object.fromEntries(Object.entries(parts).map(([id, column]) => [id, move(column)])) };
}
