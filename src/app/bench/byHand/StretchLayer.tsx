import { type KeyboardEvent, useRef, useState } from 'react';
import { printNumber } from '../../words/values.ts';
import { useBench, useWorkbench } from '../../workbench.ts';
import { addStretch, type MarginTool, STRETCH_WORDS } from './stretchTools.ts';
import { useTakenUp } from './useTakenUp.ts';

interface StretchLayerProps {
  readonly toArc: (x: number) => number;
  readonly toX: (arc: number) => number;
  /** Where nothing is drawn that a hint could hide, px from the top. */
  readonly free: number;
  /** Length of the margin, mm. */
  readonly whole: number;
}

/** Shorter stretches are slips of the hand, mm. */
const LEAST = 0.5;
/** Of an arrow key, mm; with Shift ten times that. */
const STEP = 0.5;

/** Over the unrolled margin while a stretch of it is being marked: dragged, or set with keys, from its one end to the other. */
export function StretchLayer(props: StretchLayerProps) {
  const tool = useBench((state) => state.tool);
  if (tool !== 'break' && tool !== 'exclude') return null;
  return <Marking key={tool} tool={tool} {...props} />;
}

function Marking({ tool, toArc, toX, free, whole }: StretchLayerProps & { tool: MarginTool }) {
  const { bench } = useWorkbench();
  const measure = useBench((state) => state.history.present.measure);
  const layer = useRef<HTMLDivElement>(null);
  /** The end that moves, and the one that is set; null before one is. Arc lengths, mm. */
  const [at, setAt] = useState(0);
  const [start, setStart] = useState<number | null>(null);
  useTakenUp(layer);

  const within = (arc: number): number => Math.min(whole, Math.max(0, arc));
  const arcAt = (event: { clientX: number; currentTarget: Element }): number =>
    within(toArc(event.clientX - event.currentTarget.getBoundingClientRect().left));
  const finish = (one: number, other: number): void => {
    setStart(null);
    if (Math.abs(other - one) < LEAST) return;
    const ends = [one, other].map((arc) => Math.round(arc * 10) / 10).toSorted((a, b) => a - b);
    bench.takeUp(null);
    bench.change('measure', addStretch(tool, measure, ends[0], ends[1]));
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    const step = STEP * (event.shiftKey ? 10 : 1);
    if (event.key === 'ArrowRight') setAt(within(at + step));
    else if (event.key === 'ArrowLeft') setAt(within(at - step));
    else if (event.key === 'Home' || event.key === 'End') setAt(event.key === 'Home' ? 0 : whole);
    else if (event.key !== 'Enter') return;
    else if (start === null) setStart(at);
    else finish(start, at);
    event.preventDefault();
  };
  const low = Math.min(start ?? at, at);
  const high = Math.max(start ?? at, at);
  const words = STRETCH_WORDS[tool];
  const place =
    start === null
      ? `${printNumber(at, 1)}\u202fmm from the tip`
      : `from ${printNumber(low, 1)} to ${printNumber(high, 1)}\u202fmm`;
  return (
    <div
      ref={layer}
      className="tool-layer"
      role="slider"
      tabIndex={0}
      aria-label={`${words.what}: arrow keys move along the margin, Enter sets its start, and again its end`}
      aria-valuemin={0}
      aria-valuemax={Math.round(whole)}
      aria-valuenow={Math.round(at)}
      aria-valuetext={place}
      onKeyDown={onKeyDown}
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        const arc = arcAt(event);
        setAt(arc);
        setStart(arc);
      }}
      onPointerMove={(event) => {
        if (event.buttons > 0 && start !== null) setAt(arcAt(event));
      }}
      onPointerCancel={() => setStart(null)}
      onPointerUp={(event) => start !== null && finish(start, arcAt(event))}
    >
      <div
        className={`stretch-drawn stretch-${tool}`}
        style={{ left: toX(low) - 1, width: Math.max(2, toX(high) - toX(low)) }}
      />
      <p className="tool-hint" style={{ top: free, bottom: 'auto' }}>
        {words.hint} Or arrow keys and Enter: {place}. Esc ends.
      </p>
    </div>
  );
}
