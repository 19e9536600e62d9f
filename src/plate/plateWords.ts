import { catalogueRows } from '../measures/catalogue.ts';
import { UNIT_SIGNS } from '../measures/unitSigns.ts';
import type { SpecimenRecord } from '../record/schema.ts';
import { missingLines } from './figureLines.ts';
import type { PlateStyle } from './plateStyle.ts';
import type { Placed, Press } from './plateTypes.ts';

const ROWS = new Map(catalogueRows().map((row) => [row.id, row]));

/** What stands below the figures, line by line. */
export function footLines(placed: readonly Placed[], press: Press): { text: string; soft: boolean }[] {
  const legend = placed.map(({ entry }) => entry);
  const parts = [
    ...(press.style.legend ? [{ text: legend.join(' '), soft: false }] : []),
    ...(press.style.caption ? [{ text: captionOf(placed, press), soft: true }] : []),
    ...(press.style.caution ? [{ text: CAUTION, soft: true }] : []),
  ];
  return parts.flatMap(({ text, soft }) => wrap(text, press).map((line) => ({ text: line, soft })));
}

const CAUTION =
  'Some pieces are sacred or funerary: show and publish them as the law and the institution’s policy allow.';

/** What the legend says of a piece. `many`: the plate holds others too, and pieces go by number. */
export function entryOf(record: SpecimenRecord, style: PlateStyle, many: boolean, number: number): string {
  const numbers = style.measures.flatMap((id) => {
    const row = ROWS.get(id);
    const found = record.measurements.find((measured) => measured.id === id);
    if (row === undefined || typeof found?.value !== 'number') return [];
    const unit = UNIT_SIGNS[row.unit];
    return [
      `${row.name.toLowerCase()} ${found.value.toFixed(unit === '' ? 2 : 1)}${unit === '' ? '' : ` ${unit}`}${found.minimum ? ' at least' : ''}${found.estimated ? ' estimated' : ''}`,
    ];
  });
  const { material, findSpot } = record.catalogue;
  const said = [...(many ? [] : [material]), ...(style.findSpot ? [findSpot] : [])].filter(
    (text) => text !== undefined && text !== '',
  );
  const words = [...said, ...numbers].join(', ');
  const name = many ? `${number}: ${nameOf(record)}` : nameOf(record);
  return words === '' ? `${name}.` : `${name}, ${words}.`;
}

/** What stands beside each other, from left to right. */
function viewsOf(placed: readonly Placed[], { layout, projection }: PlateStyle): string {
  const edge = layout === 'full' && placed.some(({ piece }) => piece.record.profile.y.length > 1);
  const back = placed.some(
    ({ piece: { record, faces } }) => record.source.kind === 'scan' || faces?.b !== undefined,
  );
  const side = projection === 'third-angle' ? 'right edge' : 'left edge';
  const views = ['Face A', ...(edge ? [side] : []), ...(back ? ['Face B'] : [])];
  return views.length > 1 ? `From left to right: ${views.join(', ')}` : 'Face A';
}

function captionOf(placed: readonly Placed[], press: Press): string {
  const { style, scale } = press;
  const third = style.projection === 'third-angle';
  const pictured = placed.filter(({ piece }) => style.face === 'relief' && piece.faces !== undefined);
  const shaded = pictured.some(({ piece }) => piece.record.source.kind === 'scan');
  const photographed = pictured.some(({ piece }) => piece.record.source.kind === 'photo');
  // A photograph of Face B is drawn with its own outline, and without a midline.
  const ownB = style.layout !== 'plan' && placed.some(({ piece }) => piece.faces?.b?.outline !== undefined);
  const sections = placed.some(
    ({ piece: { record, sections = [] } }) => record.sections.length + sections.length > 0,
  );
  const byArrises = style.face === 'arrises' && placed.some(({ piece }) => piece.faces !== undefined);
  const full = style.layout === 'full';
  const edgeOn = placed.some(({ piece }) => piece.record.profile.y.length > 1);
  return [
    `Scale ${scale.name}.`,
    ...(style.layout === 'plan'
      ? ['Face A, tip up.']
      : [press.many ? `${viewsOf(placed, style)}, tip up.` : 'Tip up.']),
    ...(full && (edgeOn || sections) ? [`${third ? 'Third' : 'First'}-angle projection.`] : []),
    ...(full && sections && style.stations.length > 0
      ? [
          `Sections at ticked stations, percent of length from the base, seen toward the ${third ? 'tip, Face A up' : 'base, Face A down'}.`,
        ]
      : []),
    ...(style.midline
      ? [ownB ? 'Dashed: midline; photographs show that of Face A alone.' : 'Dashed: midline.']
      : []),
    ...(placed.some(({ piece }) => missingLines(piece.record).length > 0)
      ? ['Short dashes: a part is missing; how much is not known.']
      : []),
    ...(byArrises ? ['Lines on faces: arrises found on the scan.'] : []),
    ...(shaded ? ['Shaded from the scan, light from the upper left.'] : []),
    ...(photographed ? ['Photographs: cut out along the outline that was traced.'] : []),
  ].join(' ');
}

/** Catalogue number, or the name of the scan's file. */
export function nameOf({ catalogue, source }: SpecimenRecord): string {
  return catalogue.number || source.file.replace(/(?<=.)\.[^.]*$/, '') || 'scan';
}

/** Lines no wider than the page; a word that is too long by itself is cut. */
function wrap(text: string, press: Press): string[] {
  const most = press.width - 2 * press.style.border;
  const { text: size } = press.style.type;
  const space = press.faces.width(' ', size);
  const lines: string[] = [];
  let taken = Infinity;
  for (const word of text.split(' ')) {
    const width = press.faces.width(word, size);
    if (taken + space + width <= most) {
      lines[lines.length - 1] += ` ${word}`;
      taken += space + width;
    } else {
      const shown = fitted(word, most, press, size);
      lines.push(shown);
      taken = press.faces.width(shown, size);
    }
  }
  return lines;
}

/** As much of a text as a width holds, mm. */
export function fitted(text: string, most: number, { faces }: Press, size: number): string {
  const letters = Array.from(text);
  if (faces.width(text, size, 'semibold') <= most) return text;
  let count = letters.length;
  while (count > 1 && faces.width(`${letters.slice(0, count).join('')}…`, size, 'semibold') > most) {
    count = Math.min(count - 1, Math.ceil(count * 0.95));
  }
  return `${letters.slice(0, count).join('')}…`;
}
