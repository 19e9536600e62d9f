import { type PointerEvent, type RefObject, useEffect, useRef, useState } from 'react';
import type { Correction } from '../../../trace/types.ts';
import { useBench, useWorkbench } from '../../workbench.ts';
import { BRUSHES, type Brush, type BrushTool, extended, resized, toCorrection } from './brush.ts';
import type { Spot } from './places.ts';
import type { Moves, View } from './useView.ts';

interface BrushLayerProps {
  readonly tool: BrushTool;
  readonly brush: Brush;
  readonly onBrush: (brush: Brush) => void;
  readonly view: View;
  readonly moves: Moves;
  /** What holds the focus while the keyboard paints. */
  readonly box: RefObject<HTMLElement | null>;
}

/** Steps of the arrow keys, pixels of the screen; with shift eight times as far. */
const STEPS: Readonly<Record<string, Spot>> = {
  ArrowLeft: [-2, 0],
  ArrowRight: [2, 0],
  ArrowUp: [0, -2],
  ArrowDown: [0, 2],
};
const SIZES: Readonly<Record<string, number>> = { '[': 1 / 1.25, ']': 1.25 };

const NONE: readonly Correction[] = [];

/**
 * A brush over the photograph: strokes are drawn with mouse, pen or finger, or with arrow keys and Space. Two fingers
 * move and zoom the picture, as the wheel and the middle button do.
 */
export function BrushLayer({ tool, brush, onBrush, view, moves, box }: BrushLayerProps) {
  const { bench } = useWorkbench();
  /** Where the brush is, pixels of the photograph. */
  const [at, setAt] = useState<Spot | null>(null);
  /** The stroke that is being drawn; events may come faster than the page is drawn. */
  const stroke = useRef<readonly Spot[] | null>(null);
  const finger = useRef(false);
  const [line, setLine] = useState<readonly Spot[]>([]);
  const fingers = useFingers(moves);
  const put = (places: readonly Spot[] | null): void => {
    stroke.current = places;
    setLine(places ?? []);
  };
  const draw = (spot: Spot): void => {
    setAt(spot);
    const places = stroke.current;
    if (places === null) return;
    put(tool === 'move-line' ? [places[0], spot] : extended(places, spot, brush.radius, view.scale));
  };
  const lay = (spot: Spot, pointer?: string): void => {
    finger.current = pointer === 'touch';
    setAt(spot);
    put([spot]);
  };
  const lift = (): void => {
    const correction = toCorrection(tool, stroke.current ?? [], brush, view.scale, finger.current);
    put(null);
    if (correction === undefined) return;
    const { photo } = bench.getState().history.present;
    bench.change('photo', { corrections: [...(photo?.corrections ?? NONE), correction] });
  };
  useKeys(box, (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return false;
    const step = STEPS[event.key];
    const here = at ?? view.toPicture(view.size.width / 2, view.size.height / 2);
    if (step !== undefined) {
      const far = (event.shiftKey ? 8 : 1) / view.scale;
      const [x, y] = view.toScreen(here[0] + far * step[0], here[1] + far * step[1]);
      draw(
        view.toPicture(Math.min(view.size.width, Math.max(0, x)), Math.min(view.size.height, Math.max(0, y))),
      );
    } else if (event.key === ' ') {
      if (event.repeat) return true;
      if (stroke.current === null) lay(here);
      else lift();
    } else if (event.key in SIZES) onBrush({ ...brush, radius: resized(brush.radius, SIZES[event.key]) });
    else if (event.key === 'Escape' && stroke.current !== null) put(null);
    else return false;
    return true;
  });
  const spotUnder = (event: PointerEvent): Spot => {
    const { left, top } = event.currentTarget.getBoundingClientRect();
    return view.toPicture(event.clientX - left, event.clientY - top);
  };
  const press = (event: PointerEvent<SVGRectElement>): void => {
    event.stopPropagation();
    event.currentTarget.setPointerCapture(event.pointerId);
    if (fingers.press(event)) put(null);
    else if (event.button === 0) lay(spotUnder(event), event.pointerType);
  };
  const move = (event: PointerEvent<SVGRectElement>): void => {
    event.stopPropagation();
    if (fingers.move(event)) return;
    draw(spotUnder(event));
  };
  const release = (event: PointerEvent<SVGRectElement>): void => {
    event.stopPropagation();
    if (fingers.release(event)) return;
    draw(spotUnder(event));
    lift();
    if (event.pointerType === 'touch') setAt(null);
  };
  return (
    <g className="brush-layer" data-kind={BRUSHES[tool]} data-down={line.length > 0}>
      <rect
        className="brush-ground"
        width={view.size.width}
        height={view.size.height}
        onPointerDown={press}
        onPointerMove={move}
        onPointerUp={release}
        onPointerCancel={(event) => {
          fingers.release(event);
          put(null);
        }}
        onPointerLeave={() => line.length === 0 && setAt(null)}
      />
      {line.length > 0 && <Stroke kind={BRUSHES[tool]} line={line} radius={brush.radius} view={view} />}
      {at !== null && <Cursor at={at} radius={brush.radius} view={view} />}
    </g>
  );
}

/** Corrections that are asked for and not drawn into the outline yet. */
export function Strokes({ view }: { view: View }) {
  const asked = useBench(({ history }) => history.present.photo?.corrections ?? NONE);
  const done = useBench(({ settled }) => settled.present.photo?.corrections ?? NONE);
  const drawn = useBench(({ photograph }) => photograph?.lines !== undefined);
  if (drawn) return null;
  return (
    <g className="brush-strokes">
      {asked.slice(done.length).map(({ kind, points, radius }, k) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: corrections have no name but their order
        <Stroke key={k} kind={kind} line={points} radius={radius} view={view} />
      ))}
    </g>
  );
}

interface StrokeProps {
  readonly kind: Correction['kind'];
  readonly line: readonly Spot[];
  readonly radius: number;
  readonly view: View;
}

function Stroke({ kind, line, radius, view }: StrokeProps) {
  const places = line.map(([x, y]) =>
    view
      .toScreen(x, y)
      .map((v) => v.toFixed(1))
      .join(' '),
  );
  // A line of no length is drawn as its round ends alone.
  const d = `M${places.join('L')}${places.length === 1 ? `L${places[0]}` : ''}`;
  if (kind === 'move') return <path className="brush-move" d={d} />;
  const breadth = 2 * radius * view.scale;
  return (
    <>
      <path className="brush-stroke brush-seam" d={d} strokeWidth={breadth + 3} />
      <path className="brush-stroke" data-kind={kind} d={d} strokeWidth={breadth} />
    </>
  );
}

function Cursor({ at, radius, view }: { at: Spot; radius: number; view: View }) {
  const [cx, cy] = view.toScreen(...at);
  const r = Math.max(1, radius * view.scale);
  return (
    <g className="brush-cursor">
      <circle className="photo-seam" cx={cx} cy={cy} r={r} />
      <circle className="brush-ring" cx={cx} cy={cy} r={r} />
      <path className="brush-ring" d={`M${cx - 3} ${cy}h6M${cx} ${cy - 3}v6`} />
    </g>
  );
}

/** Keys in an element, before its other keys; `heed` says whether a key was meant for the brush. */
function useKeys(box: RefObject<HTMLElement | null>, heed: (event: KeyboardEvent) => boolean): void {
  const latest = useRef(heed);
  latest.current = heed;
  useEffect(() => {
    const element = box.current;
    if (element === null) return;
    const listen = (event: KeyboardEvent): void => {
      if (event.target !== element || !latest.current(event)) return;
      event.preventDefault();
      event.stopPropagation();
    };
    element.addEventListener('keydown', listen);
    return () => element.removeEventListener('keydown', listen);
  }, [box]);
}

/** Whether a press, move or release is about the picture and not the brush: two fingers, or another button. */
function useFingers(moves: Moves) {
  const held = useRef(new Map<number, Spot>());
  const moving = useRef(false);
  return {
    press({ pointerId, clientX, clientY, button }: PointerEvent): boolean {
      held.current.set(pointerId, [clientX, clientY]);
      moving.current ||= held.current.size > 1 || button === 1;
      return moving.current;
    },
    move({ pointerId, clientX, clientY, currentTarget }: PointerEvent): boolean {
      const before = held.current.get(pointerId);
      if (!moving.current || before === undefined) return moving.current;
      const others = [...held.current].filter(([id]) => id !== pointerId).map(([, spot]) => spot);
      held.current.set(pointerId, [clientX, clientY]);
      const share = 1 / (others.length + 1);
      moves.pan(share * (clientX - before[0]), share * (clientY - before[1]));
      const [other] = others;
      if (other === undefined) return true;
      const [was, is] = [before, [clientX, clientY]].map(([x, y]) => Math.hypot(x - other[0], y - other[1]));
      const { left, top } = currentTarget.getBoundingClientRect();
      const about = [(clientX + other[0]) / 2 - left, (clientY + other[1]) / 2 - top] as const;
      if (was > 0 && is > 0) moves.zoom(is / was, about);
      return true;
    },
    release({ pointerId }: PointerEvent): boolean {
      const was = moving.current;
      held.current.delete(pointerId);
      if (held.current.size === 0) moving.current = false;
      return was;
    },
  };
}
