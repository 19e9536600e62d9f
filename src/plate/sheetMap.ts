import { contours } from 'd3-contour';
import type { ThicknessMap } from '../measures/types.ts';
import type { SpecimenRecord } from '../record/schema.ts';
import { drawingScale } from './drawingScale.ts';
import { scaleSequential, ticks } from './scales.ts';
import { type Box, COLOUR, LINE, TYPE } from './sheetStyle.ts';
import { el, group, label, type Markup, type Place, ringPath } from './svg.ts';

/** Cells of the grid that is contoured, along the piece: finer can't be seen at this size. */
const CELLS = 160;
/** Room for the legend on the right. */
const LEGEND = 11;
/** Room for the key of the humps below. */
const FOOT = 4;

/** One generator for all sheets, sized anew for each: a fresh one would have to be compiled anew. */
const bander = contours();

/** Rings of humps by face: told apart by dashes as well as by colour. */
const HUMP = {
  A: { colour: COLOUR.clay, dashes: undefined },
  B: { colour: COLOUR.slate, dashes: '0.9 0.6' },
} as const;

/** Thickness of the map on a coarser grid, filled a little way beyond the outline so that bands reach it. */
interface Grid {
  readonly columns: number;
  readonly rows: number;
  readonly values: Float64Array;
  /** Frame x, y of the grid's corner (0, 0) as d3-contour counts, and mm in a cell. */
  readonly x0: number;
  readonly y0: number;
  readonly cell: number;
}

/** Thickness in bands seen on Face A, humps ringed and numbered: solid on Face A, dashed on Face B. */
export function drawMap(
  record: SpecimenRecord,
  map: ThicknessMap,
  box: Box,
): { markup: Markup; scale: string } {
  const grid = coarsen(map, record.frame.length);
  const most = grid.values.reduce((a, b) => Math.max(a, b), 0);
  const levels = ticks(0, most, 8).filter((level) => level < most);
  const colour = scaleSequential(most);
  const reach = map.columns * map.cell;
  const { length } = record.frame;
  const { factor: scale, name } = drawingScale(
    length,
    (s) => s * length <= box.height - FOOT && s * reach <= box.width - LEGEND,
  );
  const middleX = map.x0 + ((map.columns - 1) * map.cell) / 2;
  const place: Place = ([x, y]) => [
    box.x + (box.width - LEGEND) / 2 + scale * (x - middleX),
    box.y + box.height - FOOT - scale * y,
  ];
  const onGrid: Place = ([column, row]) => place([grid.x0 + column * grid.cell, grid.y0 + row * grid.cell]);
  const outline = [record.outline.outer, ...record.outline.inner]
    .map((ring) => ringPath(ring, place))
    .join('');
  const clip = `outline-${record.id}`;
  const bands = bander
    .size([grid.columns, grid.rows])
    .thresholds(levels)(Array.from(grid.values))
    .map(({ value, coordinates }, i) =>
      el('path', {
        d: coordinates
          .flat()
          .map((ring) => ringPath(ring as [number, number][], onGrid))
          .join(''),
        fill: colour((value + (levels[i + 1] ?? most)) / 2),
        stroke: COLOUR.paper,
        'stroke-width': 0.06,
        'fill-rule': 'evenodd',
      }),
    );
  const markup = group(
    {},
    el('clipPath', { id: clip }, el('path', { d: outline, 'clip-rule': 'evenodd' })),
    group({ 'clip-path': `url(#${clip})` }, ...bands),
    el('path', { d: outline, fill: 'none', stroke: COLOUR.ink, 'stroke-width': 0.25 }),
    ...drawHumps(record, place),
    record.humps.length === 0
      ? group({})
      : label('humps: Face A solid, Face B dashed', box.x, box.y + box.height - 0.3, {
          'font-size': TYPE.small,
          fill: COLOUR.soft,
        }),
    drawLegend(levels, most, colour, box),
  );
  return { markup, scale: name };
}

/** Rings first and names on top of them all, so that a ring never strikes a name through. */
function drawHumps({ humps }: SpecimenRecord, place: Place): Markup[] {
  const rings = humps.map(({ face, footprint }) => {
    const d = ringPath(footprint, place);
    return group(
      { fill: 'none', 'stroke-linejoin': 'round' },
      el('path', { d, stroke: COLOUR.paper, 'stroke-width': 0.7 }),
      el('path', {
        d,
        stroke: HUMP[face].colour,
        'stroke-width': 0.35,
        'stroke-dasharray': HUMP[face].dashes,
      }),
    );
  });
  const counts = { A: 0, B: 0 };
  const names = humps.map(({ face, peak }) => {
    counts[face]++;
    const [x, y] = place([peak[0], peak[1]]);
    return label(`${face}${counts[face]}`, x, y + 0.7, {
      'text-anchor': 'middle',
      'font-size': 2,
      'font-weight': 'bold',
      fill: HUMP[face].colour,
      stroke: COLOUR.paper,
      'stroke-width': 0.6,
      'paint-order': 'stroke',
    });
  });
  return [...rings, ...names];
}

function drawLegend(
  levels: readonly number[],
  most: number,
  colour: (value: number) => string,
  box: Box,
): Markup {
  const height = Math.min(box.height - FOOT - 6, 40) / levels.length;
  const x = box.x + box.width - LEGEND + 2;
  const bottom = box.y + box.height - FOOT - 0.5;
  const every = Math.ceil(levels.length / 10);
  return group(
    { 'font-size': TYPE.small, fill: COLOUR.soft },
    ...levels.flatMap((level, i) => {
      const y = bottom - (i + 1) * height;
      const swatch = el('rect', {
        x,
        y,
        width: 2.4,
        height,
        fill: colour((level + (levels[i + 1] ?? most)) / 2),
        stroke: COLOUR.paper,
        'stroke-width': LINE.hair,
      });
      return i % every === 0 ? [swatch, label(String(level), x + 3.4, y + height + 0.8)] : [swatch];
    }),
    label('mm', x, bottom - levels.length * height - 1.6),
  );
}

/** Means of blocks of cells; then empty cells beside filled ones take their mean, a few rings wide. */
function coarsen(map: ThicknessMap, length: number): Grid {
  const step = Math.max(1, Math.round(length / CELLS / map.cell));
  const margin = 3;
  const columns = Math.ceil(map.columns / step) + 2 * margin;
  const rows = Math.ceil(map.rows / step) + 2 * margin;
  const sums = new Float64Array(columns * rows);
  const counts = new Uint32Array(columns * rows);
  for (let k = 0; k < map.faceA.length; k++) {
    const thickness = map.faceA[k] - map.faceB[k];
    if (Number.isNaN(thickness)) continue;
    const column = margin + Math.floor((k % map.columns) / step);
    const row = margin + Math.floor(Math.floor(k / map.columns) / step);
    sums[row * columns + column] += thickness;
    counts[row * columns + column]++;
  }
  const values = sums.map((sum, k) => (counts[k] > 0 ? sum / counts[k] : NaN));
  spread(values, columns, margin);
  return {
    columns,
    rows,
    values: values.map((value) => (Number.isNaN(value) ? 0 : value)),
    x0: map.x0 - map.cell / 2 - margin * step * map.cell,
    y0: map.y0 - map.cell / 2 - margin * step * map.cell,
    cell: step * map.cell,
  };
}

function spread(values: Float64Array, columns: number, rings: number): void {
  for (let ring = 0; ring < rings; ring++) {
    const before = values.slice();
    for (let k = 0; k < values.length; k++) {
      if (!Number.isNaN(before[k])) continue;
      let sum = 0;
      let count = 0;
      for (const near of [k - columns, k - 1, k + 1, k + columns]) {
        if (before[near] >= 0) {
          sum += before[near];
          count++;
        }
      }
      if (count > 0) values[k] = sum / count;
    }
  }
}
