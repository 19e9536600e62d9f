import { ENGINE } from '../record/engine.ts';
import { RecordError } from '../record/schema.ts';
import { type Drawing, group, type Item, rectangle } from './drawing.ts';
import { barLength, type DrawingScale, drawingScale } from './drawingScale.ts';
import { plateTitle } from './drawingWords.ts';
import { drawFigure, type PlatePiece } from './figure.ts';
import { INK, SOFT } from './figureParts.ts';
import { PAPERS, type PlateStyle, scaleFactor } from './plateStyle.ts';
import type { Placed, Press } from './plateTypes.ts';
import { entryOf, fitted, footLines, nameOf } from './plateWords.ts';
import type { Typefaces } from './typefaces.ts';

/** Room between figures and above the foot of a page. */
const GAP = { across: 11, down: 7, foot: 9 } as const;
const BAR = 1.3;
/** A trimmed page leaves words this much room, mm. */
const LEAST_TRIMMED = 80;

/** The scale of a plate, as the style says or the greatest in use at which every piece fits a page, and the pieces drawn at it. */
function settle(
  pieces: readonly PlatePiece[],
  style: PlateStyle,
  faces: Typefaces,
): { readonly press: Press; readonly placed: readonly Placed[] } {
  const many = pieces.length > 1;
  const placeAt = (piece: PlatePiece, i: number, factor: number): Placed => ({
    number: i + 1,
    piece,
    figure: drawFigure(piece, style, factor, !many),
    entry: entryOf(piece.record, style, many, i + 1),
  });
  let placed: readonly Placed[] | undefined;
  const fits = (factor: number): boolean => {
    const press = pressFor(pieces, style, faces, { factor, name: '' });
    const tried: Placed[] = [];
    for (const [i, piece] of pieces.entries()) {
      tried.push(placeAt(piece, i, factor));
      if (!fitsPage(tried.slice(-1), press)) return false;
    }
    placed = tried;
    return true;
  };
  const asked = scaleFactor(style.scale);
  const longest = Math.max(...pieces.map(({ record }) => record.frame.length));
  const scale = asked === undefined ? drawingScale(longest, fits) : { factor: asked, name: style.scale };
  if (asked !== undefined && !fits(asked)) {
    const possible = drawingScale(Infinity, fits).name;
    throw new RecordError(
      'plate-too-large',
      `At ${style.scale} not every piece fits ${style.paper}: choose ${possible} or smaller, a larger paper, or fewer views.`,
    );
  }
  // Where nothing fits, the smallest scale there is has to do.
  placed ??= pieces.map((piece, i) => placeAt(piece, i, scale.factor));
  return { press: pressFor(pieces, style, faces, scale), placed };
}

/**
 * Pages with all pieces at one scale, in the order given. `settings` is the SHA-256 of what made them. Throws a RecordError
 * where a piece does not fit at the scale asked for.
 */
export function drawPlates(
  pieces: readonly PlatePiece[],
  style: PlateStyle,
  faces: Typefaces,
  settings: string,
): Drawing[] {
  if (pieces.length === 0) throw new RecordError('plate-empty', 'A plate needs at least one piece.');
  const { press, placed } = settle(pieces, style, faces);
  const pages: Placed[][] = [[]];
  for (const one of placed) {
    const page = pages[pages.length - 1];
    if (page.length > 0 && !fitsPage([...page, one], press)) pages.push([one]);
    else page.push(one);
  }
  return pages.map((page) => drawPage(page, style.trim ? trimmed(page, press) : press, settings));
}

function pressFor(
  pieces: readonly PlatePiece[],
  style: PlateStyle,
  faces: Typefaces,
  scale: DrawingScale,
): Press {
  const [short, long] = PAPERS[style.paper];
  const [width, height] = style.landscape ? [long, short] : [short, long];
  return { style, faces, scale, width, height, many: pieces.length > 1 };
}

/** The same page no larger than what stands on it, words wrapped to the width of the figures. */
function trimmed(placed: readonly Placed[], press: Press): Press {
  const { style } = press;
  const rows = rowsOf(placed, press);
  const room = 2 * style.border;
  const inner = Math.min(press.width - room, Math.max(LEAST_TRIMMED, ...rows.map(rowWidth)) + 1e-6);
  const narrow = { ...press, width: inner + room };
  return { ...narrow, height: contentHeight(placed, narrow) + room };
}

function fitsPage(placed: readonly Placed[], press: Press): boolean {
  const { style, width, height } = press;
  const rows = rowsOf(placed, press);
  const inner = width - 2 * style.border;
  if (rows.some((row) => rowWidth(row) > inner + 1e-9)) return false;
  return contentHeight(placed, press) <= height - 2 * style.border + 1e-9;
}

function contentHeight(placed: readonly Placed[], press: Press): number {
  const rows = rowsOf(placed, press);
  const used = rows.reduce((sum, row) => sum + rowHeight(row, press), 0) + GAP.down * (rows.length - 1);
  return used + GAP.foot + footHeight(placed, press);
}

function rowsOf(placed: readonly Placed[], { style, width }: Press): Placed[][] {
  const rows: Placed[][] = [];
  for (const one of placed) {
    const row = rows.at(-1);
    if (row !== undefined && rowWidth([...row, one]) <= width - 2 * style.border) row.push(one);
    else rows.push([one]);
  }
  return rows;
}

const rowWidth = (row: readonly Placed[]): number =>
  row.reduce((sum, { figure }) => sum + figure.width, 0) + GAP.across * (row.length - 1);

const rowHeight = (row: readonly Placed[], { style }: Press): number =>
  Math.max(...row.map(({ figure }) => figure.height)) + style.type.number * 1.9;

function drawPage(placed: readonly Placed[], press: Press, settings: string): Drawing {
  const { style, width, height, scale, many } = press;
  const inner = width - 2 * style.border;
  // Numbers need a key: without a legend each piece stands with its own.
  const keyed = many && style.legend;
  const items: Item[] = [rectangle(0, 0, width, height, '#ffffff')];
  let y = style.border;
  for (const row of rowsOf(placed, press)) {
    const tall = rowHeight(row, press);
    const gap = row.length > 1 ? Math.min(28, (inner - rowWidth(row)) / (row.length + 1) + GAP.across) : 0;
    const taken = row.reduce((sum, { figure }) => sum + figure.width, 0) + gap * (row.length - 1);
    let x = style.border + (inner - taken) / 2;
    for (const { figure, number, piece } of row) {
      // Pieces of a row stand on one line.
      items.push(group(x, y + tall - style.type.number * 1.9 - figure.height, figure.items));
      items.push({
        kind: 'text',
        text: keyed
          ? String(number)
          : fitted(
              nameOf(piece.record),
              row.length > 1 ? figure.width + gap : inner,
              press,
              style.type.number,
            ),
        x: x + figure.width / 2,
        y: y + tall - style.type.number * 0.25,
        size: style.type.number,
        weight: 'semibold',
        anchor: 'middle',
        colour: INK,
      });
      x += figure.width + gap;
    }
    y += tall + GAP.down;
  }
  items.push(
    ...drawFoot(
      placed,
      press,
      Math.min(y - GAP.down + GAP.foot, height - style.border - footHeight(placed, press)),
    ),
  );
  const names = placed.map(({ piece }) => nameOf(piece.record));
  return {
    width,
    height,
    items,
    metadata: {
      title: plateTitle(names, scale.name),
      subjects: names,
      scale: scale.name,
      engine: `${ENGINE.name} ${ENGINE.version} (${ENGINE.commit})`,
      settings,
    },
  };
}

/** Scale bar, then legend, caption and caution. */
function drawFoot(placed: readonly Placed[], press: Press, top: number): Item[] {
  const { style, scale, width } = press;
  const length = barLength(scale.factor, Math.min(60, width - 2 * style.border - 30));
  const bar = length * scale.factor;
  const { border, type } = style;
  const part = bar / 5;
  const blocks = [0, 2, 4].map((i) => rectangle(border + i * part, top, part, BAR, INK));
  const frame: Item = {
    kind: 'path',
    // Two rectangles filled between: a stroke's ends and a viewer's snapping would change its length.
    lines: [0, style.lines.thin].map((inset) => {
      const [l, r, t, b] = [border + inset, border + bar - inset, top + inset, top + BAR - inset];
      return Float64Array.of(l, t, r, t, r, b, l, b);
    }),
    closed: true,
    fill: INK,
  };
  const lines = footLines(placed, press);
  const step = type.text * 1.38;
  return [
    ...blocks,
    frame,
    {
      kind: 'text',
      text: `${length} mm`,
      x: border + bar + 2,
      y: top + BAR,
      size: type.text,
      weight: 'regular',
      anchor: 'start',
      colour: INK,
    },
    ...lines.map(
      ({ text, soft }, i): Item => ({
        kind: 'text',
        text,
        x: border,
        y: top + BAR + 3 + (i + 1) * step,
        size: type.text,
        weight: 'regular',
        anchor: 'start',
        colour: soft ? SOFT : INK,
      }),
    ),
  ];
}

function footHeight(placed: readonly Placed[], press: Press): number {
  return BAR + 3 + (footLines(placed, press).length + 0.3) * press.style.type.text * 1.38;
}
