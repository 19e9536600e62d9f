import { breakLike, overlaps } from '../../../measures/breakLike.ts';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { numbers } from '../series.ts';

/** Arc length from the tip, mm: from and to. */
export type Stretch = readonly [from: number, to: number];

/** Stretches of margin that look like breaks and are not marked yet. */
export function suggestedBreaks({ margin, measurements, series, settings }: SpecimenRecord): Stretch[] {
  const width = measurements.find(({ id }) => id === 'width')?.value;
  const [first, last] = [margin[0], margin.at(-1)];
  if (typeof width !== 'number' || first === undefined || last === undefined) return [];
  const plan = {
    arc: margin.map(({ s }) => s),
    x: margin.map(({ x }) => x),
    y: margin.map(({ y }) => y),
    length: last.s + Math.hypot(first.x - last.x, first.y - last.y, first.z - last.z),
  };
  const { edgeAngle } = series;
  const angles = { arc: numbers(edgeAngle, 'arc').map(Number), angle: numbers(edgeAngle, 'angle') };
  return breakLike(plan, angles, width)
    .filter((stretch) => !settings.measure.breaks.some((marked) => overlaps(stretch, marked)))
    .map(({ from, to }) => [from, to]);
}
