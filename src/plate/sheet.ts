import type { ThicknessMap } from '../measures/types.ts';
import type { SpecimenRecord } from '../record/schema.ts';
import { drawEdge } from './sheetEdge.ts';
import { drawMap } from './sheetMap.ts';
import { drawNotes } from './sheetNotes.ts';
import { drawNumbers } from './sheetNumbers.ts';
import { drawPlan } from './sheetPlan.ts';
import { drawSections } from './sheetSections.ts';
import { type Box, COLOUR, FONT, LINE, PAGE, TYPE } from './sheetStyle.ts';
import { el, group, label, type Markup, segment, textNode } from './svg.ts';

const LEFT = PAGE.margin;
const FULL = PAGE.width - 2 * PAGE.margin;
/** Baselines of the first and the last row of headings; the row of the sections between them lies where there is room. */
const TOP = 32;
const LAST = 225;
const FIGURE: Box = { x: LEFT, y: TOP + 3, width: 110, height: 143 };
const NUMBERS: Box = { x: 133, y: TOP + 2, width: 62, height: 80 };
const MAP: Box = { x: LEFT, y: LAST + 4, width: 46, height: 51 };
const EDGE: Box = { x: 68, y: LAST + 5.5, width: FULL - 53, height: 48.5 };

/**
 * One A4 page of SVG, in millimetres, that a person looks at first. The same record and map give the same bytes.
 * `map` is left out where there is none (the panel stays empty then).
 */
export function sheet(record: SpecimenRecord, map?: ThicknessMap): string {
  const plan = drawPlan(record, FIGURE);
  const numbers = drawNumbers(record, NUMBERS);
  const notesTop = NUMBERS.y + numbers.height + 7;
  const notesBox: Box = { ...NUMBERS, y: notesTop + 2, height: FIGURE.y + FIGURE.height - notesTop };
  const notes = drawNotes(record.warnings, notesBox);
  // What the drawing and the numbers leave free goes to the sections.
  const middle = Math.max(plan.bottom + 7, notesTop + notes.height + 9);
  const sectionsBox: Box = { x: LEFT, y: middle + 4, width: FULL, height: LAST - 6 - (middle + 4) };
  const sections = drawSections(record.sections, sectionsBox);
  const mapped = map === undefined ? undefined : drawMap(record, map, MAP);
  const body = group(
    { 'font-family': FONT.body, 'font-size': TYPE.body, fill: COLOUR.ink },
    el('rect', { width: PAGE.width, height: PAGE.height, fill: COLOUR.paper }),
    drawHead(record),
    heading('Plan and profiles', `third-angle projection, ${plan.scale.name}`, { ...FIGURE, y: TOP }),
    plan.markup,
    heading('Measures', 'value ± standard uncertainty', { ...NUMBERS, y: TOP }),
    numbers.markup,
    record.warnings.length === 0 ? group({}) : heading('To note', '', { ...notesBox, y: notesTop }),
    notes.markup,
    sections.scale === ''
      ? group({})
      : heading('Sections', `seen toward the tip, Face A up, ${sections.scale}`, {
          ...sectionsBox,
          y: middle,
        }),
    sections.markup,
    mapped === undefined ? group({}) : heading('Thickness', mapped.scale, { ...MAP, y: LAST }),
    mapped?.markup ?? group({}),
    ...(record.margin.length === 0
      ? []
      : [heading('Unrolled margin', edgeRemark(record), { ...EDGE, y: LAST }), drawEdge(record, EDGE)]),
    drawFoot(record),
  );
  const size = { width: `${PAGE.width}mm`, height: `${PAGE.height}mm` };
  const root = el(
    'svg',
    {
      xmlns: 'http://www.w3.org/2000/svg',
      ...size,
      viewBox: `0 0 ${PAGE.width} ${PAGE.height}`,
      role: 'img',
    },
    el('title', {}, textNode(`${nameOf(record)}: measured sheet`)),
    body,
  );
  return `<?xml version="1.0" encoding="UTF-8"?>\n${root}\n`;
}

function nameOf({ catalogue, source }: SpecimenRecord): string {
  return catalogue.number ?? (source.file.replace(/(?<=.)\.[^.]*$/, '') || 'scan');
}

function drawHead(record: SpecimenRecord): Markup {
  const { source, frame } = record;
  const read = `${source.file} · ${readAs(record)}`;
  return group(
    {},
    label(shorten(nameOf(record), 42), LEFT, 18, {
      'font-family': FONT.title,
      'font-size': TYPE.title,
    }),
    label(shorten(read, 90), LEFT, 23.6, { fill: COLOUR.soft }),
    label(`${frame.axis} axis`, PAGE.width - PAGE.margin, 23.6, { 'text-anchor': 'end', fill: COLOUR.soft }),
    segment(LEFT, 26.2, PAGE.width - PAGE.margin, 26.2, { stroke: COLOUR.ink, 'stroke-width': LINE.thin }),
  );
}

function readAs({ source }: SpecimenRecord): string {
  return source.kind === 'scan'
    ? `${thousands(source.triangles)} triangles · unit ${source.unit} (${source.scale.method})`
    : `${source.width} × ${source.height} pixels · ${source.scale.pxPerMm.toFixed(2)} px/mm (${source.scale.method})`;
}

function edgeRemark({ margin }: SpecimenRecord): string {
  const round = margin.length === 0 ? '' : ` along ${Math.round(margin[margin.length - 1].s)} mm`;
  return `edge angle and edge height${round}, clockwise from the tip`;
}

/** Groups of three digits, parted by thin spaces. */
function thousands(count: number): string {
  return String(count).replace(/\B(?=(\d{3})+$)/g, '\u2009');
}

function heading(title: string, remark: string, { x, y, width }: Box): Markup {
  return group(
    {},
    label(title, x, y, { 'font-size': TYPE.heading, 'font-weight': 'bold' }),
    label(remark, x + width, y, { 'text-anchor': 'end', 'font-size': TYPE.small, fill: COLOUR.soft }),
    segment(x, y + 1.6, x + width, y + 1.6, { stroke: COLOUR.hair, 'stroke-width': LINE.thin }),
  );
}

function drawFoot({ source, engine }: SpecimenRecord): Markup {
  const y = PAGE.height - 9;
  const style = { 'font-size': TYPE.small, fill: COLOUR.soft };
  return group(
    {},
    label(
      'Numbers support a judgement by a trained analyst; they do not date, authenticate or appraise a piece.',
      LEFT,
      y - 3.2,
      style,
    ),
    label(`SHA-256 ${source.sha256.slice(0, 16)}…`, LEFT, y, style),
    label(`${engine.name} ${engine.version}, ${engine.commit}`, PAGE.width - PAGE.margin, y, {
      ...style,
      'text-anchor': 'end',
    }),
  );
}

function shorten(text: string, most: number): string {
  const letters = Array.from(text);
  return letters.length <= most ? text : `${letters.slice(0, most - 1).join('')}…`;
}
