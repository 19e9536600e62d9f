import type { Pair, RecordSection } from '../record/schema.ts';
import type { Item } from './drawing.ts';
import { boxOf, INK, type Place, points, round, wordsItem } from './figureParts.ts';
import { hatch } from './hatch.ts';
import type { PlateStyle } from './plateStyle.ts';

const HATCH_SPACING = 1.1;
/** Least room between two sections of one column, their names included. */
const SECTION_GAP = 3.2;
/** Between sections of a row. */
const ACROSS = 7;

/** What is drawn of a section. */
export type PlateSection = Pick<RecordSection, 'station' | 'at' | 'y' | 'points' | 'more'>;

/** The sections at the stations asked for, tip first. */
export function chooseSections(
  sections: readonly PlateSection[],
  stations: readonly number[],
): PlateSection[] {
  return sections
    .filter(
      ({ at, points: ring, station }) =>
        at === 'station' && ring.length > 2 && stations.some((asked) => Math.abs(asked - station) < 0.05),
    )
    .toSorted((a, b) => b.station - a.station);
}

interface SectionBox {
  readonly minX: number;
  readonly maxX: number;
  readonly middle: number;
  /** Half of its height on paper. */
  readonly half: number;
}

function sectionBox({ points: ring, more }: PlateSection, scale: number): SectionBox {
  const { minX, maxX, minY: low, maxY: high } = boxOf([ring, ...more]);
  return { minX, maxX, middle: (low + high) / 2, half: ((high - low) * scale) / 2 };
}

/** One section with its name `below` its middle; its length axis at `axis`, its middle at `y`, mm on paper. */
function drawSection(
  section: PlateSection,
  box: SectionBox,
  [axis, y]: Pair,
  below: number,
  style: PlateStyle,
  scale: number,
): Item[] {
  const up = style.projection === 'third-angle' ? 1 : -1;
  const place: Place = ([x, z]) => [axis + x * scale, y - up * (z - box.middle) * scale];
  const rings = [section.points, ...section.more].map((ring) => points(ring, place));
  const strokes = style.hatch ? hatch(rings, HATCH_SPACING) : [];
  const centre = axis + ((box.minX + box.maxX) / 2) * scale;
  const name = wordsItem(`${round(section.station)} %`, centre, y + below + style.type.text * 1.3, style);
  return [
    ...(strokes.length === 0
      ? []
      : [
          {
            kind: 'path',
            lines: strokes,
            closed: false,
            stroke: INK,
            width: style.lines.thin * 0.8,
          } as const,
        ]),
    { kind: 'path', lines: rings, closed: true, stroke: INK, width: style.lines.section },
    { ...name, anchor: 'middle' },
  ];
}

/** Sections in a column, each at the height of its station (`upper` mm of the piece at 0), or moved just so far that none touch. */
export function drawColumn(
  sections: readonly PlateSection[],
  style: PlateStyle,
  scale: number,
  upper: number,
) {
  if (sections.length === 0) return { items: [] as Item[], width: 0, top: 0, bottom: 0 };
  const boxes = sections.map((section) => sectionBox(section, scale));
  const minX = Math.min(...boxes.map((box) => box.minX));
  const width = (Math.max(...boxes.map((box) => box.maxX)) - minX) * scale;
  const wanted = sections.map(({ y }) => (upper - y) * scale);
  const halves = boxes.map(({ half }) => half);
  const heights = spread(wanted, halves, SECTION_GAP + style.type.text);
  const items = sections.flatMap((section, i) =>
    drawSection(section, boxes[i], [-minX * scale, heights[i]], boxes[i].half, style, scale),
  );
  const last = boxes.length - 1;
  return {
    items,
    width,
    top: heights[0] - boxes[0].half,
    bottom: heights[last] + boxes[last].half + style.type.text * 1.4,
  };
}

/** Sections from base to tip in as few rows as `width` holds, evenly filled, the rows centred. */
export function drawRows(sections: readonly PlateSection[], style: PlateStyle, scale: number, width: number) {
  if (sections.length === 0) return { items: [] as Item[], height: 0 };
  const chosen = sections.toReversed();
  const boxes = chosen.map((section) => sectionBox(section, scale));
  const cell = Math.max(...boxes.map(({ minX, maxX }) => (maxX - minX) * scale)) + ACROSS;
  const most = Math.max(1, Math.floor((width + ACROSS) / cell));
  const columns = Math.ceil(chosen.length / Math.ceil(chosen.length / most));
  const items: Item[] = [];
  let top = 0;
  for (let from = 0; from < chosen.length; from += columns) {
    const row = chosen.slice(from, from + columns);
    // Names of a row stand on one line.
    const half = Math.max(...row.map((_, i) => boxes[from + i].half));
    row.forEach((section, i) => {
      const box = boxes[from + i];
      const centre = width / 2 + (i - (row.length - 1) / 2) * cell;
      const axis = centre - ((box.minX + box.maxX) / 2) * scale;
      items.push(...drawSection(section, box, [axis, top + half], half, style, scale));
    });
    top += 2 * half + style.type.text * 1.4 + SECTION_GAP;
  }
  return { items, height: top - SECTION_GAP };
}

/** Middles as near to those wanted as the half-heights and gaps allow, in order. */
export function spread(wanted: readonly number[], halves: readonly number[], gap: number): number[] {
  const need = (i: number): number => halves[i - 1] + halves[i] + gap;
  const down = [...wanted];
  for (let i = 1; i < down.length; i++) down[i] = Math.max(down[i], down[i - 1] + need(i));
  const up = [...wanted];
  for (let i = up.length - 2; i >= 0; i--) up[i] = Math.min(up[i], up[i + 1] - need(i + 1));
  // Both keep every gap; so does their mean, and it favours neither end.
  return down.map((at, i) => (at + up[i]) / 2);
}
