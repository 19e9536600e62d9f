import { type CSSProperties, useMemo, useRef, useState } from 'react';
import type { Collection, MeasureColumn } from '../../drawer/collection.ts';
import { measureColumns } from '../../drawer/columnNames.ts';
import { type Rough, roughSign } from '../../record/rough.ts';
import { useSize } from '../bench/useSize.ts';
import { printWithU } from '../words/values.ts';
import { usePieces } from '../workbench.ts';
import { axisName } from './Axes.tsx';
import { short } from './DistributionView.tsx';
import { downloadCsv } from './exportFigure.ts';
import { PIECE_COLUMNS, pieceCells } from './pieceCells.ts';
import { PhotoMark } from './tableParts.tsx';
import { useLineup, useLineupStore } from './useLineup.ts';

/** Height of a row, in the letters of the page, which grow with the screen: boxes to tick grow with them. */
const ROW_REM = 2;
/** Rows beyond the window that are there before one scrolls to them. */
const SPARE = 8;

type Order = { readonly column: string; readonly down: boolean };

/** The collection as a table, any measure a column. Only the rows that are seen are there. */
export function TableView({ collection }: { collection: Collection }) {
  const lineup = useLineupStore();
  const columns = useLineup((state) => state.columns);
  const picked = useLineup((state) => state.picked);
  const [order, setOrder] = useState<Order>({ column: 'name', down: false });
  const [sure, setSure] = useState(false);
  const [top, setTop] = useState(0);
  const box = useRef<HTMLElement>(null);
  const { height } = useSize(box);
  const row = rowHeight();
  const shown = columns.flatMap((id) => collection.measures.find((measure) => measure.id === id) ?? []);
  const rows = useMemo(() => inOrder(collection, order), [collection, order]);
  const from = Math.max(0, Math.floor(top / row) - SPARE);
  const to = Math.min(rows.length, Math.ceil((top + height) / row) + SPARE);
  const sort = (column: string): void =>
    setOrder({ column, down: order.column === column ? !order.down : column !== 'name' });
  const sorted = (column: string): 'ascending' | 'descending' | 'none' =>
    order.column !== column ? 'none' : order.down ? 'descending' : 'ascending';
  return (
    <>
      <div className="lineup-controls">
        <ColumnChooser collection={collection} />
        <label>
          <input type="checkbox" checked={sure} onChange={() => setSure(!sure)} />
          <span>Uncertainties (± u)</span>
        </label>
        <button
          type="button"
          className="button"
          onClick={() =>
            downloadCsv(
              'lineup',
              [...PIECE_COLUMNS, ...shown.flatMap(measureColumns), 'minimum', 'estimated'],
              Array.from(rows, (i) => [
                ...pieceCells(collection, i),
                ...shown.flatMap(({ value, u }) => [value[i], u[i]]),
                ...(['minimum', 'estimated'] as const).map((kind) => roughIds(shown, i, kind)),
              ]),
            )
          }
        >
          Save data (CSV)
        </button>
      </div>
      <section
        ref={box}
        className="long-table"
        // biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls, by keys as well
        tabIndex={0}
        aria-label="Pieces"
        style={{ '--row': `${row}px` } as CSSProperties}
        onScroll={({ currentTarget }) => setTop(currentTarget.scrollTop)}
      >
        <table className="numbers" aria-rowcount={rows.length + 1}>
          <thead>
            <tr>
              <th scope="col" aria-sort={sorted('name')}>
                <button type="button" onClick={() => sort('name')}>
                  Piece
                </button>
              </th>
              {shown.map(({ id, name, unit }) => (
                <th key={id} scope="col" aria-sort={sorted(id)}>
                  <button type="button" onClick={() => sort(id)}>
                    {axisName(name, unit)}
                  </button>
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {from > 0 && <Filler height={from * row} />}
            {Array.from(rows.subarray(from, to), (i, k) => {
              const key = collection.keys[i];
              return (
                <tr key={key} aria-rowindex={from + k + 2} data-picked={picked.includes(key)}>
                  <th scope="row">
                    <label>
                      <input
                        type="checkbox"
                        checked={picked.includes(key)}
                        onChange={() => lineup.pick(key)}
                      />
                      {collection.names[i]}
                      <PhotoMark collection={collection} i={i} />
                    </label>
                  </th>
                  {shown.map((measure) => (
                    <ValueCell key={measure.id} measure={measure} i={i} sure={sure} />
                  ))}
                </tr>
              );
            })}
            {to < rows.length && <Filler height={(rows.length - to) * row} />}
          </tbody>
        </table>
      </section>
    </>
  );
}

interface ValueCellProps {
  readonly measure: MeasureColumn;
  readonly i: number;
  /** With its standard uncertainty, to its figures. */
  readonly sure: boolean;
}

function ValueCell({ measure: { value, u, rough }, i, sure }: ValueCellProps) {
  const sign = roughSign(rough.get(i));
  const printed = sure && u[i] > 0 ? printWithU(value[i], u[i]) : undefined;
  if (printed === undefined) return <td>{sign + short(value[i])}</td>;
  return (
    <td>
      {sign + printed.value} <span className="soft">± {printed.u}</span>
    </td>
  );
}

/** Which of the columns have such a value of a piece, parted by spaces. */
function roughIds(columns: readonly MeasureColumn[], piece: number, kind: Rough): string {
  return columns.flatMap(({ id, rough }) => (rough.get(piece) === kind ? [id] : [])).join(' ');
}

/** CSS pixels, whole ones, so that rows add up to what stands for those that are not there. */
function rowHeight(): number {
  return Math.round(ROW_REM * Number.parseFloat(getComputedStyle(document.documentElement).fontSize));
}

/** Stands for the rows above or below the window. */
function Filler({ height }: { height: number }) {
  return (
    <tr>
      <td className="filler" style={{ height }} />
    </tr>
  );
}

/** Places of the pieces in the order of one column; those without a value last. */
function inOrder({ names, byName, measures }: Collection, { column, down }: Order): Int32Array {
  if (column === 'name') return down ? byName.toReversed() : byName;
  const rows = Int32Array.from(names, (_, i) => i);
  const sign = down ? -1 : 1;
  const value = measures.find(({ id }) => id === column)?.value;
  if (value === undefined) return rows;
  return rows.sort((a, b) => {
    const [x, y] = [value[a], value[b]];
    if (Number.isNaN(x) || Number.isNaN(y)) return Number(Number.isNaN(x)) - Number(Number.isNaN(y)) || a - b;
    return sign * (x - y) || a - b;
  });
}

function ColumnChooser({ collection }: { collection: Collection }) {
  const lineup = useLineupStore();
  const columns = useLineup((state) => state.columns);
  const families = usePieces((state) => state.families);
  const present = new Set(collection.measures.map(({ id }) => id));
  const toggle = (id: string): void =>
    lineup.set({ columns: columns.includes(id) ? columns.filter((one) => one !== id) : [...columns, id] });
  return (
    <details
      className="chooser"
      onKeyDown={(event) => {
        if (event.key === 'Escape') event.currentTarget.open = false;
      }}
    >
      <summary className="button">Columns ({columns.length})</summary>
      <div className="chooser-list">
        {families.map(({ id, title, rows }) => {
          const own = rows.filter((row) => present.has(row.id));
          return (
            own.length > 0 && (
              <fieldset key={id}>
                <legend>{title}</legend>
                {own.map((row) => (
                  <label key={row.id}>
                    <input
                      type="checkbox"
                      checked={columns.includes(row.id)}
                      onChange={() => toggle(row.id)}
                    />
                    {row.name}
                  </label>
                ))}
              </fieldset>
            )
          );
        })}
      </div>
    </details>
  );
}
