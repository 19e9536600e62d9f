import type { Pair, RecordSection, SpecimenRecord } from '../record/schema.ts';
import { group, type Item, stroke } from './drawing.ts';
import type { Arrises, FacePicture, FacePictures } from './faces.ts';
import { INK, type Place, points, round, SOFT, wordsItem } from './figureParts.ts';
import { chooseSections, drawColumn, drawRows } from './figureSections.ts';
import type { PlateStyle } from './plateStyle.ts';

/** One piece to be drawn. `faces` where its scan is at hand. */
export interface PlatePiece {
  readonly record: SpecimenRecord;
  readonly faces?: FacePictures;
}

/** All views of one piece, its upper left corner at the origin, mm on paper. */
export interface Figure {
  readonly items: readonly Item[];
  readonly width: number;
  readonly height: number;
}

const GAP = 9;
const TICK = 2;
const MIDLINE_DASH = [2.2, 1.1];
const MISSING_DASH = [1.2, 0.9];
/** Between views and sections. */
const ROW_GAP = 5;

/** Draws the views of a piece as the style asks, `scale` mm on paper for each mm of the piece. */
export function drawFigure({ record, faces }: PlatePiece, style: PlateStyle, scale: number): Figure {
  const { outer } = record.outline;
  const minX = Math.min(...outer.map(([x]) => x));
  const maxX = Math.max(...outer.map(([x]) => x));
  const { length } = record.frame;
  const [width, height] = [(maxX - minX) * scale, length * scale];
  const full = style.layout === 'full';
  const sections = full ? chooseSections(record.sections, style.stations) : [];
  const column = drawColumn(style.sections === 'beside' ? sections : [], style, scale, length);
  const views: Item[] = [...column.items];
  const names: [string, number][] = [];
  let x = column.width === 0 ? 0 : column.width + GAP + 6;
  const left = x;
  const faceA: Place = ([px, py]) => [left + (px - minX) * scale, (length - py) * scale];
  views.push(
    ...drawFace(
      record,
      faceA,
      style,
      faceItems(faces?.a, faces?.arrisesA, left - minX * scale, length, scale, style),
    ),
  );
  views.push(
    ...sections.flatMap((section) => ticks(section, left, left + width, (length - section.y) * scale, style)),
  );
  names.push(['Face A', left + width / 2]);
  x += width;
  if (full && record.profile.y.length > 1) {
    const depth = profileExtent(record);
    const third = style.projection === 'third-angle';
    const from = x + GAP;
    const side: Place = ([z, y]) => [
      from + (third ? depth.most - z : z - depth.least) * scale,
      (length - y) * scale,
    ];
    views.push(...drawEdge(record, side, style, third ? 'right' : 'left'));
    x = from + (depth.most - depth.least) * scale;
    names.push([third ? 'right edge' : 'left edge', (from + x) / 2]);
  }
  // A photograph shows one side only: nothing is known of the other but its outline, which would say nothing new.
  if (style.layout !== 'plan' && record.source.kind === 'scan') {
    const from = x + GAP;
    const faceB: Place = ([px, py]) => [from + (maxX - px) * scale, (length - py) * scale];
    views.push(
      ...drawFace(
        record,
        faceB,
        style,
        faceItems(faces?.b, faces?.arrisesB, from + maxX * scale, length, scale, style),
      ),
    );
    x = from + width;
    names.push(['Face B', from + width / 2]);
  }
  const foot = Math.max(height, column.bottom) - Math.min(0, column.top) + style.type.text * 1.6;
  const lift = -Math.min(0, column.top);
  const named = style.layout === 'plan' ? height : foot + 0.6;
  const rows = drawRows(style.sections === 'below' ? sections : [], style, scale, x);
  return {
    items: [
      { kind: 'group', x: 0, y: lift, items: views },
      ...(style.layout === 'plan' ? [] : names.map(([text, at]) => words(text, at, foot, style))),
      ...(rows.items.length === 0 ? [] : [group(0, named + ROW_GAP, rows.items)]),
    ],
    width: x,
    height: rows.items.length === 0 ? named : named + ROW_GAP + rows.height,
  };
}

function words(
  text: string,
  x: number,
  y: number,
  style: PlateStyle,
  anchor: 'middle' | 'start' = 'middle',
): Item {
  return { kind: 'text', text, x, y, size: style.type.text, weight: 'regular', anchor, colour: SOFT };
}

/** What a face shows inside its outline; its length axis at `axis` on paper. */
function faceItems(
  face: FacePicture | undefined,
  arrises: Arrises | undefined,
  axis: number,
  length: number,
  scale: number,
  style: PlateStyle,
): Item[] {
  if (style.face === 'relief') return pictureAt(face, axis, length, scale);
  if (style.face !== 'arrises' || arrises === undefined || arrises.length === 0) return [];
  const lines = arrises.map((line) =>
    line.map((value, i) => ((i & 1) === 0 ? axis + value * scale : (length - value) * scale)),
  );
  return [{ kind: 'path', lines, closed: false, stroke: INK, width: style.lines.thin }];
}

function pictureAt(face: FacePicture | undefined, axis: number, length: number, scale: number): Item[] {
  if (face === undefined) return [];
  const { png, left, top, width, height } = face;
  return [
    {
      kind: 'image',
      png,
      x: axis + left * scale,
      y: (length - top) * scale,
      width: width * scale,
      height: height * scale,
    },
  ];
}

/** Solid margin, dashed midline, dashes where a broken piece went on. */
function drawFace(record: SpecimenRecord, place: Place, style: PlateStyle, picture: readonly Item[]): Item[] {
  const rings = [record.outline.outer, ...record.outline.inner].map((ring) => points(ring, place));
  const items: Item[] = [
    ...picture,
    { kind: 'path', lines: rings, closed: true, stroke: INK, width: style.lines.margin },
  ];
  if (style.midline && record.midline.length > 2) {
    items.push({
      kind: 'path',
      // At the very ends a midpoint has no chord to halve.
      lines: [points(record.midline.slice(1, -1), place)],
      closed: false,
      stroke: INK,
      width: style.lines.thin,
      dash: MIDLINE_DASH,
    });
  }
  const missing = missingLines(record).map((line) => points(line, place));
  if (missing.length > 0) {
    items.push({
      kind: 'path',
      lines: missing,
      closed: false,
      stroke: INK,
      width: style.lines.thin * 1.3,
      dash: MISSING_DASH,
    });
  }
  return items;
}

/** Share of the length that dashes run on beyond a break, and that their direction is taken over. */
const [RUN_ON, DIRECTION] = [0.12, 0.15];

/**
 * Short lines that go on from both margins past the broken end, as they were heading there. They say that something is
 * missing, not how much. Empty unless the catalogue says that the piece is snapped and which part survives.
 */
export function missingLines({ catalogue, outline, frame }: SpecimenRecord): Pair[][] {
  if (catalogue.condition !== 'snapped' || catalogue.survives === undefined) return [];
  const { length } = frame;
  const ends = { tip: [0], base: [1], mid: [0, 1] }[catalogue.survives];
  return ends.flatMap((end) => {
    const near = sidesAt(outline.outer, length * (end === 0 ? 0.04 : 0.96));
    const far = sidesAt(outline.outer, length * (end === 0 ? 0.04 + DIRECTION : 0.96 - DIRECTION));
    if (near === undefined || far === undefined) return [];
    return [0, 1].map((side): Pair[] => {
      const [a, b] = [far[side], near[side]];
      const k = (RUN_ON + 0.04) / DIRECTION;
      const start: Pair = [
        b[0] + ((b[0] - a[0]) * 0.05) / DIRECTION,
        end === 0 ? -0.01 * length : 1.01 * length,
      ];
      return [start, [b[0] + (b[0] - a[0]) * k, b[1] + (b[1] - a[1]) * k]];
    });
  });
}

/** Outermost points of a ring at one height. */
function sidesAt(ring: readonly Pair[], y: number): [Pair, Pair] | undefined {
  const found: number[] = [];
  ring.forEach(([x1, y1], i) => {
    const [x2, y2] = ring[(i + 1) % ring.length];
    if (y1 < y !== y2 < y) found.push(x1 + ((x2 - x1) * (y - y1)) / (y2 - y1));
  });
  return found.length < 2
    ? undefined
    : [
        [Math.min(...found), y],
        [Math.max(...found), y],
      ];
}

function ticks(
  { station }: RecordSection,
  left: number,
  right: number,
  y: number,
  style: PlateStyle,
): Item[] {
  const [colour, width] = [INK, style.lines.thin];
  return [
    stroke([left - 1 - TICK, y, left - 1, y], colour, width),
    stroke([right + 1, y, right + 1 + TICK, y], colour, width),
    {
      ...wordsItem(`${round(station)}`, left - 1.6 - TICK, y + style.type.text * 0.32, style),
      anchor: 'end',
    },
  ];
}

/** Edge-on silhouette with the margin of the near side. */
function drawEdge(record: SpecimenRecord, place: Place, style: PlateStyle, side: 'left' | 'right'): Item[] {
  const { y, faceA, faceB } = record.profile;
  const ring = [
    ...y.map((at, i): Pair => [faceA[i], at]),
    ...y.map((at, i): Pair => [faceB[i], at]).toReversed(),
  ];
  const { margin } = record;
  const foot = margin.reduce((low, point, i) => (point.y < margin[low].y ? i : low), 0);
  const half = side === 'right' ? margin.slice(0, foot + 1) : [...margin.slice(foot), ...margin.slice(0, 1)];
  const line = points(
    half.map((point): Pair => [point.z, point.y]),
    place,
  );
  return [
    { kind: 'path', lines: [points(ring, place)], closed: true, stroke: INK, width: style.lines.section },
    { kind: 'path', lines: [line], closed: false, stroke: INK, width: style.lines.thin },
  ];
}

function profileExtent({ profile }: SpecimenRecord): { least: number; most: number } {
  return { least: Math.min(...profile.faceB), most: Math.max(...profile.faceA) };
}
