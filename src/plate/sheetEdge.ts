import type { MarginPoint, Pair, SpecimenRecord } from '../record/schema.ts';
import { ticks } from './scales.ts';
import { type Box, COLOUR, LINE, TYPE } from './sheetStyle.ts';
import { el, group, label, linePath, type Markup, type Place, segment } from './svg.ts';

const AXIS = 9;
/** Share of the way round below which a stretch has no room for its name. */
const SHORTEST_STRETCH = 0.02;
/** A straight edge is drawn straight: heights below this share of the length don't fill the strip. */
const LEAST_REACH = 0.01;

/** The unrolled margin: edge angle above, edge height below, along the arc from the tip clockwise on Face A. */
export function drawEdge(record: SpecimenRecord, box: Box): Markup {
  const { margin } = record;
  if (margin.length === 0) return group({});
  const first = margin[0];
  const last = margin[margin.length - 1];
  const round = last.s + Math.hypot(first.x - last.x, first.y - last.y, first.z - last.z);
  const onX = (s: number): number => box.x + AXIS + ((box.width - AXIS) * s) / round;
  const upper = { ...box, height: 0.6 * box.height - 6 };
  const lower = { ...box, y: box.y + 0.6 * box.height, height: 0.4 * box.height - 5 };
  return group(
    { 'font-size': TYPE.small, fill: COLOUR.soft },
    drawSides(record, box, onX, round),
    drawAngles(record, upper, onX),
    drawHeights(record, lower, onX, round),
  );
}

/** Names of the stretches along the foot, and hairlines where one gives way to the next. */
function drawSides({ margin }: SpecimenRecord, box: Box, onX: (s: number) => number, round: number): Markup {
  const stretches = sideStretches(margin, round);
  return group(
    {},
    ...stretches.flatMap(({ side, from, to }, i) => {
      const name = label(side, onX((from + to) / 2), box.y + box.height, { 'text-anchor': 'middle' });
      const line = segment(onX(from), box.y, onX(from), box.y + box.height - 3.4, {
        stroke: COLOUR.hair,
        'stroke-width': LINE.thin,
      });
      return i === 0 ? [name] : [line, name];
    }),
  );
}

interface SideStretch {
  readonly side: string;
  readonly from: number;
  readonly to: number;
}

/** Stretches of one side; where a ragged margin crosses to and fro, what is too short to be named joins the one before. */
function sideStretches(margin: readonly MarginPoint[], round: number): SideStretch[] {
  const stretches: SideStretch[] = [];
  margin.forEach(({ side, s }, i) => {
    if (i > 0 && side === margin[i - 1].side) return;
    const next = margin.findIndex((point, k) => k > i && point.side !== side);
    const to = next < 0 ? round : margin[next].s;
    const last = stretches.at(-1);
    const tooShort = to - s < SHORTEST_STRETCH * round && next >= 0;
    if (last !== undefined && (tooShort || last.side === side))
      stretches[stretches.length - 1] = { ...last, to };
    else stretches.push({ side, from: s, to });
  });
  return stretches;
}

function drawAngles(record: SpecimenRecord, box: Box, onX: (s: number) => number): Markup {
  const table = record.series.edgeAngle;
  if (table === undefined) return group({});
  const angles = table.angle;
  const known = angles.filter((angle): angle is number => typeof angle === 'number');
  const least = Math.floor(known.reduce((a, b) => Math.min(a, b), 90) / 20) * 20;
  const most = Math.ceil(known.reduce((a, b) => Math.max(a, b), least + 20) / 20) * 20;
  const onY = (angle: number): number => box.y + (box.height * (most - angle)) / (most - least);
  const place: Place = ([s, angle]) => [onX(s), onY(angle)];
  const mean = record.measurements.find(({ id }) => id === 'edge.angle.mean')?.value;
  return group(
    {},
    ...gridLines(ticks(least, most, 4), onY, box, '°'),
    typeof mean === 'number'
      ? segment(box.x + AXIS, onY(mean), box.x + box.width, onY(mean), {
          stroke: COLOUR.clay,
          'stroke-width': LINE.thin,
          'stroke-dasharray': '1.4 0.9',
        })
      : group({}),
    el('path', {
      d: stretches(table.arc as readonly number[], angles)
        .map((stretch) => linePath(stretch, place))
        .join(''),
      fill: 'none',
      stroke: COLOUR.ink,
      'stroke-width': 0.3,
      'stroke-linejoin': 'round',
      'stroke-linecap': 'round',
    }),
  );
}

function drawHeights(
  { margin, frame }: SpecimenRecord,
  box: Box,
  onX: (s: number) => number,
  round: number,
): Markup {
  const reach = margin.reduce((most, { z }) => Math.max(most, Math.abs(z)), LEAST_REACH * frame.length);
  const onY = (z: number): number => box.y + (box.height * (reach - z)) / (2 * reach);
  const place: Place = ([s, z]) => [onX(s), onY(z)];
  const line = [...margin.map(({ s, z }): Pair => [s, z]), [round, margin[0].z] as const];
  return group(
    {},
    ...gridLines(ticks(-reach, reach, 3), onY, box, ' mm'),
    el('path', { d: linePath(line, place), fill: 'none', stroke: COLOUR.slate, 'stroke-width': 0.3 }),
  );
}

function gridLines(
  values: readonly number[],
  onY: (value: number) => number,
  box: Box,
  unit: string,
): Markup[] {
  return values.flatMap((value) => [
    segment(box.x + AXIS, onY(value), box.x + box.width, onY(value), {
      stroke: COLOUR.hair,
      'stroke-width': LINE.hair,
    }),
    label(`${value}${unit}`.replace('-', '−'), box.x + AXIS - 1.2, onY(value) + 0.8, {
      'text-anchor': 'end',
    }),
  ]);
}

/** Runs of neighbouring points that have a value. */
function stretches(arc: readonly number[], values: readonly (number | string | null)[]): Pair[][] {
  const runs: Pair[][] = [];
  let open = false;
  values.forEach((value, i) => {
    if (typeof value === 'number') {
      if (!open) runs.push([]);
      runs[runs.length - 1].push([arc[i], value]);
    }
    open = typeof value === 'number';
  });
  return runs;
}
