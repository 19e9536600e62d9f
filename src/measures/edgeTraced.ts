import { closedCurve } from '../geometry/closedCurve.ts';
import { type EdgeLine, type MarginLine, type Model, SIDES } from '../trace/types.ts';
import { type Edge, marginSeries, measureSide } from './edgeLine.ts';
import type { MeasureSettings, Series, Value } from './types.ts';

/** Standard uncertainty of the place of a traced edge, pixels of its view. */
const PLACE = 0.4;
/** The ends of a side, percent of the length. */
const [FROM, TO] = [5, 95];

/** What edges traced in edge-on photographs tell, by the ids of the catalogue; each is marked as traced by hand. */
export function tracedEdges(
  { edgeLines = {}, length }: Model,
  settings: MeasureSettings,
): { readonly values: Readonly<Record<string, Value>>; readonly series: Series | undefined } {
  const values: Record<string, Value> = {};
  const tables: Series[] = [];
  for (const edge of ['left', 'right'] as const) {
    const line = edgeLines[edge];
    if (line === undefined) continue;
    const margin = thereAndBack(line, edge, length);
    const own = { meanEdge: line.pixel, noise: PLACE * line.pixel };
    const side = measureSide(margin, edge, own, { ...settings, breaks: [] });
    for (const [id, value] of Object.entries(side.values)) {
      values[`edge.${id}.${edge}`] = value.value === null ? value : { ...value, byHand: true };
    }
    const whole = marginSeries({ length }, margin, side.line === null ? {} : { [edge]: side.line });
    tables.push(firstHalf(whole));
  }
  return { values, series: tables.length === 0 ? undefined : joined(tables) };
}

/**
 * The line as a closed one that goes there and comes back the same way: smoothed all the way round it is mirrored at its
 * ends. The way back belongs to no side.
 */
function thereAndBack({ points }: EdgeLine, edge: Edge, length: number): MarginLine {
  const n = points.length / 3;
  const both = new Float64Array(6 * n);
  both.set(points);
  for (let i = 0; i < n; i++) both.set(points.subarray(3 * (n - 1 - i), 3 * (n - i)), 3 * (n + i));
  const side = new Uint8Array(2 * n).fill(SIDES.indexOf('base'));
  for (let i = 0; i < n; i++) {
    const station = (100 * points[3 * i + 1]) / length;
    if (station >= FROM && station <= TO) side[i] = SIDES.indexOf(edge);
    else if (station > TO) side[i] = SIDES.indexOf('tip');
  }
  return { ...closedCurve(both), side };
}

function firstHalf(table: Series): Series {
  return Object.fromEntries(
    Object.entries(table).map(([name, column]) => [
      name,
      Array.prototype.slice.call(column, 0, column.length / 2),
    ]),
  );
}

function joined(tables: readonly Series[]): Series {
  const [first] = tables;
  return Object.fromEntries(
    Object.keys(first).map((name) => [
      name,
      tables.flatMap((table) => Array.from(table[name] as ArrayLike<number>)),
    ]),
  );
}
