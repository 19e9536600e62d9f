import type { Measurement } from '../measures/types.ts';
import { UNIT_SIGNS } from '../measures/unitSigns.ts';
import { printMeasured } from '../record/rounding.ts';
import type { SpecimenRecord } from '../record/schema.ts';
import { type Box, COLOUR, LINE, TYPE } from './sheetStyle.ts';
import { group, label, type Markup, segment } from './svg.ts';

/** Main numbers in the order of the sheet; an empty line parts the groups. */
const ROWS: readonly (readonly [string, string] | null)[] = [
  ['length', 'Length'],
  ['width', 'Width'],
  ['thickness', 'Thickness'],
  ['width.thickness', 'Width / thickness'],
  null,
  ['area', 'Plan area'],
  ['volume', 'Volume'],
  ['mass.estimated', 'Mass, estimated'],
  null,
  ['edge.angle.mean', 'Edge angle, mean'],
  ['edge.wander.left', 'Edge wander, left'],
  ['edge.wander.right', 'Edge wander, right'],
  ['edge.sinuosity.left', 'Sinuosity, left'],
  ['edge.sinuosity.right', 'Sinuosity, right'],
  null,
  ['symmetry.overlap', 'Mirror overlap'],
  ['midline.bow', 'Midline bow'],
  ['faces.balance', 'Volume on Face A'],
  null,
  ['humps.count', 'Humps'],
  ['humps.tallest', 'Tallest hump'],
];

const ROW = 4.55;
const PART = 2;

/** Table of main numbers with their standard uncertainties; returns the height it took too. */
export function drawNumbers({ measurements }: SpecimenRecord, box: Box): { markup: Markup; height: number } {
  const byId = new Map(measurements.map((measured) => [measured.id, measured]));
  const drawn: Markup[] = [];
  let y = box.y;
  let parted = true;
  for (const row of ROWS) {
    const measured = row === null ? undefined : byId.get(row[0]);
    if (row === null) {
      if (!parted) {
        drawn.push(
          segment(box.x, y + PART / 2 - 0.4, box.x + box.width, y + PART / 2 - 0.4, {
            stroke: COLOUR.hair,
            'stroke-width': LINE.thin,
          }),
        );
        y += PART;
      }
      parted = true;
    } else if (measured !== undefined && measured.value !== null) {
      y += ROW;
      drawn.push(drawRow(row[1], measured, box, y - 1.2));
      parted = false;
    }
  }
  return { markup: group({ 'font-size': TYPE.body, fill: COLOUR.ink }, ...drawn), height: y - box.y };
}

function drawRow(name: string, measured: Measurement, box: Box, y: number): Markup {
  const shown =
    typeof measured.value === 'number'
      ? printMeasured(measured.value, measured.u)
      : { value: String(measured.value), u: '' };
  const minimum = measured.minimum === true ? '≥ ' : measured.estimated === true ? '≈ ' : '';
  const value = minimum + shown.value.replace('-', '−');
  const end = { 'text-anchor': 'end' };
  return group(
    {},
    label(name, box.x, y),
    label(value, box.x + 0.63 * box.width, y, { ...end, 'font-weight': 'bold' }),
    shown.u === ''
      ? group({})
      : label(`± ${shown.u}`, box.x + 0.872 * box.width, y, { ...end, fill: COLOUR.soft }),
    label(UNIT_SIGNS[measured.unit], box.x + 0.892 * box.width, y, { fill: COLOUR.soft }),
  );
}
