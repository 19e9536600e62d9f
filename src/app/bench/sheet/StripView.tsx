import { scaleLinear } from 'd3-scale';
import { memo } from 'react';
import type { Pair } from '../../../record/schema.ts';
import { printNumber } from '../../words/values.ts';
import { pathOfColumns } from '../paths.ts';
import type { SheetLayout, Strip } from './layout.ts';

/** One quantity along the length, drawn level with the piece: across is its value, up is the way to the tip. */
export const StripView = memo(function StripView({ strip, layout }: { strip: Strip; layout: SheetLayout }) {
  const { along, left, right } = strip;
  const known = along.value.filter((value) => value !== null);
  const high = quantile(known.map(Math.abs), along.bulk);
  const domain: Pair = along.signed ? [-high, high] : [0, high];
  // The end of a scale is never printed as nothing.
  const enough = Math.max(along.decimals, -Math.floor(Math.log10(high)));
  const toX = scaleLinear(domain, [left, right]).clamp(true);
  const place = (station: number, value: number): Pair => [
    toX(value),
    layout.toY((station / 100) * layout.length),
  ];
  const zero = toX(0);
  const line = pathOfColumns(along.station, along.value, place);
  return (
    <g className="strip">
      <text className="column-name" x={left} y={layout.nameY}>
        {along.name}
        <title>{along.words}</title>
      </text>
      <line className="strip-zero" x1={zero} x2={zero} y1={layout.top} y2={layout.bottom} />
      <path
        className="strip-area"
        d={`M${zero} ${layout.bottom}${line.replaceAll('h0', '').replaceAll('M', 'L')}L${zero} ${layout.top}Z`}
      />
      <path className="strip-line" d={line} />
      {along.signed ? (
        <text className="column-note" x={zero} y={layout.noteY} textAnchor="middle">
          ±{printNumber(high, enough)}
        </text>
      ) : (
        [0, high].map((end) => (
          <text
            key={end}
            className="column-note"
            x={toX(end)}
            y={layout.noteY}
            textAnchor={end === high ? 'end' : 'start'}
          >
            {printNumber(end, end === 0 ? 0 : enough)}
          </text>
        ))
      )}
    </g>
  );
});

function quantile(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] || 1;
}
