import type { Pair, RecordSection } from '../record/schema.ts';
import { drawingScale } from './drawingScale.ts';
import { type Box, COLOUR, LINE, TYPE } from './sheetStyle.ts';
import { el, group, label, type Markup, type Place, ringPath, segment } from './svg.ts';

const MOST = 9;
const GAP_X = 6;
const GAP_Y = 7;
const WIDEST_GAP_Y = 12;

/** Sections from base to tip, seen toward the tip as Face A up; at one scale, which the heading names. */
export function drawSections(
  sections: readonly RecordSection[],
  box: Box,
): { markup: Markup; scale: string } {
  const chosen = choose(sections.filter(({ at, points }) => at === 'station' && points.length > 2));
  if (chosen.length === 0) return { markup: group({}), scale: '' };
  const bounds = chosen.map((section) => boundsOf([section.points, ...section.more].flat()));
  const width = Math.max(...bounds.map(({ maxX, minX }) => maxX - minX));
  const height = Math.max(...bounds.map(({ maxZ, minZ }) => maxZ - minZ));
  const fewestRows = (factor: number): number =>
    Math.ceil(chosen.length / Math.max(1, Math.floor((box.width + GAP_X) / (factor * width + GAP_X))));
  const mostRows = (factor: number): number => Math.floor(box.height / (factor * height + GAP_Y));
  const { factor: scale, name } = drawingScale(
    width,
    (factor) => factor * width <= box.width && fewestRows(factor) <= mostRows(factor),
  );
  // Near a square where there is room: three rows of three.
  const rows = Math.max(fewestRows(scale), Math.min(Math.round(Math.sqrt(chosen.length)), mostRows(scale)));
  const columns = Math.ceil(chosen.length / rows);
  const cell = {
    width: box.width / columns,
    height: Math.min(box.height / rows, scale * height + WIDEST_GAP_Y),
  };
  const drawn = chosen.map((section, i) => {
    const { minX, maxX, minZ, maxZ } = bounds[i];
    const centre = box.x + (0.5 + (i % columns)) * cell.width;
    const middle = box.y + Math.floor(i / columns) * cell.height + (cell.height - 4) / 2;
    const place: Place = ([x, z]) => [
      centre + scale * (x - (minX + maxX) / 2),
      middle - scale * (z - (minZ + maxZ) / 2),
    ];
    return drawSection(section, place, [minX, maxX], [centre, middle + (scale * height) / 2 + 4]);
  });
  return { markup: group({}, ...drawn), scale: name };
}

function drawSection(section: RecordSection, place: Place, [minX, maxX]: Pair, [x, y]: Pair): Markup {
  const d = [section.points, ...section.more].map((loop) => ringPath(loop, place)).join('');
  const [left, plane] = place([minX, 0]);
  const [right] = place([maxX, 0]);
  return group(
    {},
    el('path', {
      d,
      fill: COLOUR.stone,
      stroke: COLOUR.ink,
      'stroke-width': 0.3,
      'stroke-linejoin': 'round',
      'fill-rule': 'evenodd',
    }),
    segment(left - 1.2, plane, right + 1.2, plane, {
      stroke: COLOUR.soft,
      'stroke-width': LINE.hair,
      'stroke-dasharray': '2 0.8 0.4 0.8',
    }),
    label(`${Math.round(section.station)} %`, x, y, {
      'text-anchor': 'middle',
      'font-size': TYPE.small,
      fill: COLOUR.soft,
    }),
  );
}

/** At most nine, evenly picked when there are more. */
function choose(sections: readonly RecordSection[]): readonly RecordSection[] {
  if (sections.length <= MOST) return sections;
  return Array.from(
    { length: MOST },
    (_, i) => sections[Math.round((i * (sections.length - 1)) / (MOST - 1))],
  );
}

function boundsOf(points: readonly Pair[]): { minX: number; maxX: number; minZ: number; maxZ: number } {
  const bounds = { minX: Infinity, maxX: -Infinity, minZ: Infinity, maxZ: -Infinity };
  for (const [x, z] of points) {
    bounds.minX = Math.min(bounds.minX, x);
    bounds.maxX = Math.max(bounds.maxX, x);
    bounds.minZ = Math.min(bounds.minZ, z);
    bounds.maxZ = Math.max(bounds.maxZ, z);
  }
  return bounds;
}
