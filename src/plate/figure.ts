import type { Pair, SpecimenRecord } from '../record/schema.ts';
import { group, type Item, stroke } from './drawing.ts';
import type { Arrises, FacePicture, FacePictures } from './faces.ts';
import { calmMidline, missingLines } from './figureLines.ts';
import { boxOf, INK, type Place, points, round, SEAM, SOFT, wordsItem } from './figureParts.ts';
import { chooseSections, drawColumn, drawRows, type PlateSection } from './figureSections.ts';
import type { PlateStyle } from './plateStyle.ts';

/** One piece to be drawn. `faces` where its scan is at hand. */
export interface PlatePiece {
  readonly record: SpecimenRecord;
  readonly faces?: FacePictures;
  /** Sections beside those that the record holds. */
  readonly sections?: readonly PlateSection[];
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

/**
 * Draws the views of a piece as the style asks, `scale` mm on paper for each mm of the piece. `named`: each view says what it
 * is; on a plate of many the caption says it once.
 */
export function drawFigure(
  { record, faces, sections: more = [] }: PlatePiece,
  style: PlateStyle,
  scale: number,
  named = true,
): Figure {
  const missing = missingLines(record);
  const { minX, maxX } = boxOf([record.outline.outer, ...missing]);
  // Dashes of a missing part may reach beyond the piece.
  const beyond = boxOf(missing);
  const top = Math.max(record.frame.length, beyond.maxY);
  const bottom = Math.min(0, beyond.minY);
  const [width, height] = [(maxX - minX) * scale, (top - bottom) * scale];
  const full = style.layout === 'full';
  const sections = full ? chooseSections([...record.sections, ...more], style.stations) : [];
  const column = drawColumn(style.sections === 'beside' ? sections : [], style, scale, top);
  const views: Item[] = [...column.items];
  const names: [string, number][] = [];
  // Ticks and their names stand left of Face A.
  const ticked = sections.length === 0 ? 0 : 1.6 + TICK + style.type.text * 1.1;
  let x = column.width === 0 ? ticked : column.width + GAP + ticked;
  const left = x;
  const faceA: Place = ([px, py]) => [left + (px - minX) * scale, (top - py) * scale];
  views.push(
    ...drawFace(
      record,
      faceA,
      style,
      faceItems(faces?.a, faces?.arrisesA, left - minX * scale, top, scale, style),
    ),
  );
  views.push(
    ...sections.flatMap((section) => ticks(section, left, left + width, (top - section.y) * scale, style)),
  );
  names.push(['Face A', left + width / 2]);
  x += width;
  if (full && record.profile.y.length > 1) {
    const depth = profileExtent(record);
    const third = style.projection === 'third-angle';
    const from = x + GAP;
    const side: Place = ([z, y]) => [
      from + (third ? depth.most - z : z - depth.least) * scale,
      (top - y) * scale,
    ];
    views.push(...drawEdge(record, side, style, third ? 'right' : 'left'));
    x = from + (depth.most - depth.least) * scale;
    names.push([third ? 'Right edge' : 'Left edge', (from + x) / 2]);
  }
  // Of a photograph without one of Face B nothing is known of that but the outline, which would say nothing new.
  if (style.layout !== 'plan' && (record.source.kind === 'scan' || faces?.b !== undefined)) {
    const from = x + GAP;
    const faceB: Place = ([px, py]) => [from + (maxX - px) * scale, (top - py) * scale];
    views.push(
      ...drawFace(
        seenOnB(record, faces?.b),
        faceB,
        style,
        faceItems(faces?.b, faces?.arrisesB, from + maxX * scale, top, scale, style),
      ),
    );
    x = from + width;
    names.push(['Face B', from + width / 2]);
  }
  const lift = -Math.min(0, column.top);
  const foot = lift + Math.max(height, column.bottom);
  const withNames = named && style.layout !== 'plan';
  const baseline = foot + style.type.text * 1.6;
  const below = withNames ? baseline + 0.6 : foot;
  const rows = drawRows(style.sections === 'below' ? sections : [], style, scale, x);
  return {
    items: [
      { kind: 'group', x: 0, y: lift, items: views },
      ...(withNames ? names.map(([text, at]) => words(text, at, baseline, style)) : []),
      ...(rows.items.length === 0 ? [] : [group(0, below + ROW_GAP, rows.items)]),
    ],
    width: x,
    height: rows.items.length === 0 ? below : below + ROW_GAP + rows.height,
  };
}

/** A photograph of Face B has an outline of its own; the midline is Face A's. */
function seenOnB(record: SpecimenRecord, picture: FacePicture | undefined): SpecimenRecord {
  if (picture?.outline === undefined) return record;
  const [outer, ...inner] = picture.outline;
  return { ...record, outline: { ...record.outline, outer, inner }, midline: [] };
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

/** What a face shows inside its outline; its length axis at `axis` on paper, `top` mm of the piece at the upper edge. */
function faceItems(
  face: FacePicture | undefined,
  arrises: Arrises | undefined,
  axis: number,
  top: number,
  scale: number,
  style: PlateStyle,
): Item[] {
  if (style.face === 'relief') return pictureAt(face, axis, top, scale);
  if (style.face !== 'arrises' || arrises === undefined || arrises.length === 0) return [];
  const lines = arrises.map((line) =>
    line.map((value, i) => ((i & 1) === 0 ? axis + value * scale : (top - value) * scale)),
  );
  return [{ kind: 'path', lines, closed: false, stroke: INK, width: style.lines.thin }];
}

function pictureAt(face: FacePicture | undefined, axis: number, top: number, scale: number): Item[] {
  if (face === undefined) return [];
  const { png, left, width, height } = face;
  return [
    {
      kind: 'image',
      png,
      x: axis + left * scale,
      y: (top - face.top) * scale,
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
    // Quieter than the arrises that it crosses.
    const width = style.lines.thin * 0.85;
    const lines = [points(calmMidline(record), place)];
    const dashed = { kind: 'path', lines, closed: false, dash: MIDLINE_DASH } as const;
    if (record.source.kind === 'photo' && picture.length > 0)
      items.push({ ...dashed, stroke: SEAM, width: 3 * width });
    items.push({ ...dashed, stroke: SOFT, width });
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

function ticks({ station }: PlateSection, left: number, right: number, y: number, style: PlateStyle): Item[] {
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
