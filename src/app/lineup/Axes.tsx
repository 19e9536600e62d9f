import type { ScaleLinear } from 'd3-scale';
import type { MeasureUnit } from '../../measures/types.ts';
import { unitSign } from '../words/values.ts';

type Scale = ScaleLinear<number, number>;

/** Tick labels with a true minus. */
export function tickLabels(
  scale: Scale,
  count: number,
): readonly { readonly at: number; readonly text: string }[] {
  const print = scale.tickFormat(count);
  return scale.ticks(count).map((value) => ({ at: scale(value), text: print(value).replace('-', '−') }));
}

export function axisName(name: string, unit: MeasureUnit): string {
  const sign = unitSign(unit);
  return sign === '' ? name : `${name}, ${sign}`;
}

/** Upright and level axis with a quiet grid. Ranges of the scales are the plot's edges. */
export function Axes({ toX, toY, x, y }: { toX: Scale; toY: Scale; x: string; y: string }) {
  const [left, right] = toX.range();
  const [bottom, top] = toY.range();
  return (
    <g>
      <LevelAxis toX={toX} name={x} top={top} bottom={bottom} />
      {tickLabels(toY, 7).map(({ at, text }) => (
        <g key={text}>
          <line className="grid" x1={left} x2={right} y1={at} y2={at} />
          <text x={left - 8} y={at + 4} textAnchor="end">
            {text}
          </text>
        </g>
      ))}
      <text className="axis-name" x={left - 44} y={top - 14}>
        {y}
      </text>
    </g>
  );
}

/** The level axis alone. */
export function LevelAxis({
  toX,
  name,
  top,
  bottom,
  ticks = 9,
}: {
  toX: Scale;
  name: string;
  top: number;
  bottom: number;
  /** About as many. */
  ticks?: number;
}) {
  return (
    <g>
      {tickLabels(toX, ticks).map(({ at, text }) => (
        <g key={text}>
          <line className="grid" x1={at} x2={at} y1={top} y2={bottom} />
          <text x={at} y={bottom + 18} textAnchor="middle">
            {text}
          </text>
        </g>
      ))}
      <text className="axis-name" x={toX.range()[1]} y={bottom + 38} textAnchor="end">
        {name}
      </text>
    </g>
  );
}

/** Least and greatest finite value with a little room on both sides; 0…1 when there are none. */
export function roomy(...lists: readonly ArrayLike<number>[]): [number, number] {
  let [low, high] = [Infinity, -Infinity];
  for (const list of lists) {
    for (let i = 0; i < list.length; i++) {
      if (list[i] < low) low = list[i];
      if (list[i] > high) high = list[i];
    }
  }
  if (!Number.isFinite(low) || !Number.isFinite(high)) return [0, 1];
  const room = 0.04 * (high - low) || Math.abs(high) * 0.05 || 0.5;
  return [low - room, high + room];
}
