import { scaleLinear } from 'd3-scale';
import { memo, useMemo, useRef } from 'react';
import type { MarginPoint, Pair, SpecimenRecord } from '../../record/schema.ts';
import { printNumber } from '../words/values.ts';
import { useBench, useWorkbench } from '../workbench.ts';
import { StretchLayer } from './byHand/StretchLayer.tsx';
import { letterScale } from './letters.ts';
import { markedStretches, stretchWords } from './markedStretches.ts';
import { pathOfColumns } from './paths.ts';
import { StationSlider } from './StationSlider.tsx';
import { numbers } from './series.ts';
import { useShown } from './show/useShown.ts';
import { type Size, useSize } from './useSize.ts';

/** Room round the tracks, px for letters of 16 px. */
const BESIDE = 42;
const RIGHT = 12;
const ABOVE = 26;
const BOTTOM = 8;
/** Share of the height that the angles get; the heights get the rest. */
const ANGLES = 0.58;
/** Between the tracks, with room for the second one's name. */
const BETWEEN = 34;

/** Room that a letter takes, px. */
const WORD_WIDTH = 6;

interface Layout extends Size {
  /** How large letters are, 1 for 16 px, and what stands free for them, px. */
  readonly letters: number;
  readonly left: number;
  readonly top: number;
  readonly gap: number;
  readonly toX: (arc: number) => number;
  readonly toArc: (x: number) => number;
  readonly angleY: (degrees: number) => number;
  readonly heightY: (mm: number) => number;
  readonly angleTicks: readonly number[];
  readonly heightTicks: readonly number[];
  readonly middle: number;
}

/** The margin laid straight, from the tip down the right side, round the base and up the left: its angle, its height. */
export function UnrolledMargin({ record }: { record: SpecimenRecord }) {
  const { bench } = useWorkbench();
  const box = useRef<HTMLDivElement>(null);
  const size = useSize(box);
  const layout = useMemo(() => layOut(record, size, letterScale()), [record, size]);
  const station = useBench((state) => state.station);
  const { margin } = record;
  if (margin.length === 0) return null;
  const stationOf = (point: MarginPoint): number => (100 * point.y) / record.frame.length;
  return (
    <section className="panel unrolled" aria-label="Unrolled margin">
      <div className="panel-fill" ref={box}>
        {layout && (
          <StationSlider
            className="slider"
            label="Place along the margin"
            orientation="horizontal"
            spoken={`station ${printNumber(station, 0)} percent, ${anglesAt(record, station)}`}
            stationAt={(event) => {
              const { left } = event.currentTarget.getBoundingClientRect();
              const point = nearest(margin, layout.toArc(event.clientX - left));
              return Math.round(stationOf(point));
            }}
            onKey={({ key }) => {
              // Along the right side the arc runs toward the base: an arrow to the right goes down the piece.
              if (key !== 'ArrowRight' && key !== 'ArrowLeft') return false;
              bench.pointAt(Math.round(station) + (key === 'ArrowRight' ? -1 : 1));
              return true;
            }}
          >
            <svg width={layout.width} height={layout.height} aria-hidden="true">
              <Tracks record={record} layout={layout} />
              <ShownArcs record={record} layout={layout} />
              <Cursors record={record} layout={layout} />
            </svg>
          </StationSlider>
        )}
        {layout && (
          <StretchLayer
            toArc={layout.toArc}
            toX={layout.toX}
            free={layout.middle + 4}
            whole={margin.at(-1)?.s ?? 0}
          />
        )}
      </div>
    </section>
  );
}

function layOut(record: SpecimenRecord, { width, height }: Size, letters: number): Layout | null {
  const last = record.margin.at(-1);
  if (width < 200 || height < 100 || last === undefined) return null;
  const whole = last.s;
  const [left, top, gap] = [BESIDE, ABOVE, BETWEEN].map((room) => room * letters);
  const x = scaleLinear([0, whole], [left, width - RIGHT]);
  const angles = numbers(record.series.edgeAngle, 'angle').filter((angle) => angle !== null);
  const z = record.margin.map((point) => point.z);
  const middle = top + (height - top - BOTTOM) * ANGLES;
  // A few runaway angles, at notches and tips, would press all others flat: they are drawn at the rim.
  const bulk = angles.toSorted((a, b) => a - b)[Math.floor(0.98 * (angles.length - 1))] ?? 0;
  const angle = scaleLinear([0, Math.max(60, bulk)], [middle, top + 14 * letters])
    .nice(3)
    .clamp(true);
  const reach = Math.max(0.5, ...z.map(Math.abs));
  const heights = scaleLinear([-reach, reach], [height - BOTTOM, middle + gap]);
  return {
    width,
    height,
    letters,
    left,
    top,
    gap,
    toX: x,
    toArc: x.invert,
    angleY: angle,
    heightY: heights,
    angleTicks: angle.ticks(3),
    heightTicks: heights.ticks(3),
    middle,
  };
}

const Tracks = memo(function Tracks({ record, layout }: { record: SpecimenRecord; layout: Layout }) {
  const { toX, angleY, heightY, width, left, top, gap, letters } = layout;
  const { edgeAngle } = record.series;
  const arc = numbers(edgeAngle, 'arc');
  const angle = pathOfColumns(arc, numbers(edgeAngle, 'angle'), (s, a): Pair => [toX(s), angleY(a)]);
  const { margin } = record;
  const height = pathOfColumns(
    margin.map(({ s }) => s),
    margin.map(({ z }) => z),
    (s, z): Pair => [toX(s), heightY(z)],
  );
  return (
    <g className="tracks">
      {sideRuns(margin).map(({ side, from, to }) => (
        <g key={`${side}${from}`} className={`run run-${side}`}>
          <rect x={toX(from)} width={Math.max(0, toX(to) - toX(from))} y={0} height={layout.height} />
          {toX(to) - toX(from) > 36 * letters && (
            <text x={(toX(from) + toX(to)) / 2} y={14 * letters} textAnchor="middle">
              {SIDE_NAMES[side]}
            </text>
          )}
        </g>
      ))}
      <Marked record={record} layout={layout} />
      {layout.angleTicks.map((tick) => (
        <g key={tick} className="tick">
          <line x1={left} x2={width - RIGHT} y1={angleY(tick)} y2={angleY(tick)} />
          <text x={left - 6} y={angleY(tick)} dy="0.32em" textAnchor="end">
            {tick}°
          </text>
        </g>
      ))}
      {layout.heightTicks.map((tick) => (
        <g key={tick} className="tick">
          <line x1={left} x2={width - RIGHT} y1={heightY(tick)} y2={heightY(tick)} />
          <text x={left - 6} y={heightY(tick)} dy="0.32em" textAnchor="end">
            {printNumber(tick, Number.isInteger(tick) ? 0 : 1)}
          </text>
        </g>
      ))}
      <text className="track-name" x={left + 4} y={top + 8 * letters}>
        Edge angle
      </text>
      <text className="track-name" x={left + 4} y={layout.middle + gap - 12 * letters}>
        Height above the margin plane, mm
      </text>
      <path className="track-angle" d={angle} />
      <path className="track-height" d={height} />
    </g>
  );
});

/** Stretches that were marked by hand: breaks washed, what is left out hatched, each with its word where there is room. */
function Marked({ record, layout }: { record: SpecimenRecord; layout: Layout }) {
  return (
    <>
      <defs>
        <pattern
          id="left-out"
          width={6}
          height={6}
          patternUnits="userSpaceOnUse"
          patternTransform="rotate(45)"
        >
          <line className="hatch" x1={0} x2={0} y1={0} y2={6} />
        </pattern>
      </defs>
      {markedStretches(record).map((stretch) => {
        const { from, to, kind, word } = stretch;
        const [x, width] = [layout.toX(from), Math.max(1, layout.toX(to) - layout.toX(from))];
        return (
          <g key={`${kind}${from}`} className={`marked-${kind}`}>
            <title>{stretchWords(stretch)}</title>
            <rect x={x} width={width} y={0} height={layout.height} />
            {width > WORD_WIDTH * layout.letters * word.length && (
              <text x={x + width / 2} y={layout.height - 4} textAnchor="middle">
                {word}
              </text>
            )}
          </g>
        );
      })}
    </>
  );
}

/** The stretches of margin that a shown measure is taken from. */
function ShownArcs({ record, layout }: { record: SpecimenRecord; layout: Layout }) {
  const shown = useShown(record);
  return (
    <g className="shown-arcs">
      {(shown?.arcs ?? []).map(([from, to]) => (
        <rect
          key={from}
          x={layout.toX(from) - 1}
          width={layout.toX(to) - layout.toX(from) + 2}
          y={layout.top - 6}
          height={layout.height - BOTTOM - layout.top + 6}
        />
      ))}
    </g>
  );
}

const SIDE_NAMES: Readonly<Record<MarginPoint['side'], string>> = {
  tip: 'Tip',
  right: 'Right side',
  base: 'Base',
  left: 'Left side',
};

/** Stretches of one side each, in order of arc length. */
function sideRuns(margin: readonly MarginPoint[]): { side: MarginPoint['side']; from: number; to: number }[] {
  const runs: { side: MarginPoint['side']; from: number; to: number }[] = [];
  for (const { side, s } of margin) {
    const run = runs.at(-1);
    if (run?.side === side) run.to = s;
    else {
      if (run) run.to = s;
      runs.push({ side, from: s, to: s });
    }
  }
  return runs;
}

/** Both places of the margin that lie at the station. */
function Cursors({ record, layout }: { record: SpecimenRecord; layout: Layout }) {
  const station = useBench((state) => state.station);
  return (
    <g className="cursor">
      {placesAt(record, station).map(({ s, z }) => (
        <g key={s}>
          <line x1={layout.toX(s)} x2={layout.toX(s)} y1={layout.top - 6} y2={layout.height - BOTTOM} />
          <circle cx={layout.toX(s)} cy={layout.heightY(z)} r={3} />
        </g>
      ))}
    </g>
  );
}

/** The outermost margin points at a station, right before left. */
function placesAt({ margin, frame }: SpecimenRecord, station: number): MarginPoint[] {
  const y = (station / 100) * frame.length;
  let right: MarginPoint | undefined;
  let left: MarginPoint | undefined;
  for (let i = 0; i < margin.length; i++) {
    const point = margin[i];
    const next = margin[(i + 1) % margin.length];
    if (point.y > y === next.y > y) continue;
    // Clockwise from the tip: the right side runs down, the left side up.
    if (point.y > next.y) {
      if (right === undefined || point.x > right.x) right = point;
    } else if (left === undefined || point.x < left.x) left = point;
  }
  return [right, left].filter((point) => point !== undefined);
}

function anglesAt(record: SpecimenRecord, station: number): string {
  const { edgeAngle } = record.series;
  const arc = numbers(edgeAngle, 'arc');
  const angle = numbers(edgeAngle, 'angle');
  const words = placesAt(record, station).map(({ s }, i) => {
    let best = -1;
    arc.forEach((a, k) => {
      if (a !== null && (best < 0 || Math.abs(a - s) < Math.abs((arc[best] ?? Infinity) - s))) best = k;
    });
    const degrees = angle[best];
    const side = i === 0 ? 'right' : 'left';
    return typeof degrees === 'number'
      ? `edge angle ${printNumber(degrees, 0)} degrees on the ${side}`
      : `no edge angle on the ${side}`;
  });
  return words.join(', ');
}

function nearest(margin: readonly MarginPoint[], arc: number): MarginPoint {
  return margin.reduce((best, point) => (Math.abs(point.s - arc) < Math.abs(best.s - arc) ? point : best));
}
