import { type KeyboardEvent, type PointerEvent, useRef, useState } from 'react';
import type { Tool } from '../../state/benchState.ts';
import { VIEW_WORDS } from '../../words/viewWords.ts';
import { useBench, useWorkbench } from '../../workbench.ts';
import { toScanPoint } from '../byHand/scanPoint.ts';
import { useBlobUrl } from '../useBlobUrl.ts';
import { BrushLayer } from './BrushLayer.tsx';
import { type Brush, isBrush } from './brush.ts';
import { Candidates } from './Candidates.tsx';
import { OutlineTools } from './OutlineTools.tsx';
import { PhotoLayer } from './PhotoLayer.tsx';
import { PhotoTools } from './PhotoTools.tsx';
import { type Spot, stationAt, toPlacePoint } from './places.ts';
import { ScaleEnds } from './ScaleEnds.tsx';
import { Strokes } from './Strokes.tsx';
import { type PhotoTarget, usePhotoTarget } from './target.ts';
import { useFingers } from './useFingers.ts';
import { useTakenUp } from './useTakenUp.ts';
import { type Moves, useView } from './useView.ts';
import { stationOn } from './viewLines.ts';
import { WireLayer } from './WireLayer.tsx';
import { type Clicks, clickedAt } from './wire.ts';

interface PhotoViewProps {
  /** Others stand beside it: it shows little but itself until it is taken in hand. */
  readonly beside: boolean;
  readonly points: readonly number[];
  readonly onPoints: (points: readonly number[]) => void;
}

/** Further than this a press is a drag, px: of a mouse or pen, and of a finger. */
const SLOP = 4;
const FINGER_SLOP = 10;
/** What keys do: move the picture by so many px, or enlarge it by a factor. */
const PANS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [60, 0],
  ArrowRight: [-60, 0],
  ArrowUp: [0, 60],
  ArrowDown: [0, -60],
};
const ZOOMS: Readonly<Record<string, number>> = { '+': 1.4, '=': 1.4, '-': 1 / 1.4 };

/** Tools of which a click says a place; by keys the picture moves under a cross, and Enter clicks there. */
const CLICKED: readonly Tool[] = ['scale', 'edge'];

const HINTS = {
  'paint-in': 'Paint what is the piece. Keys: [ and ] size it, Space and arrows paint.',
  'paint-out': 'Paint what is not the piece. Keys: [ and ] size it, Space and arrows paint.',
  'move-line': 'Drag the outline to its place. Keys: [ and ] size it, Space and arrows drag.',
  scale: '',
  edge: '',
  exclude: '',
  break: '',
  base: 'Click where the base is. Esc leaves it as it was.',
  tip: 'Click where the tip is. Esc leaves it as it was.',
} as const satisfies Record<Tool, string>;

/** What to do next with a tool, by how many ends of a known length and places on the edge were clicked. */
function hintOf(tool: Tool, ends: number, places: number): string {
  if (tool === 'scale') {
    const end = ends === 0 ? 'one end of a known length' : 'its other end';
    return `Click ${end}; zoom in first to be exact. Keys: arrows move the picture, Enter clicks at the cross.`;
  }
  if (tool !== 'edge') return HINTS[tool];
  return places < 2
    ? 'Click along the winding edge, from one end of it to the other. Keys: arrows move, Enter clicks.'
    : 'Click on along the edge; places can be dragged. Backspace takes the last back, Esc ends.';
}

const WHAT = 'The photograph: plus and minus zoom, 0 shows all of it, arrow keys move';

/** The photograph with what was found in it. It is zoomed and moved; what stands on it can be chosen and dragged. */
export function PhotoView({ beside, points, onPoints }: PhotoViewProps) {
  const { bench } = useWorkbench();
  const inHand = useBench((state) => state.inHand);
  const target = usePhotoTarget();
  const held = target.view === inHand;
  const tool = useBench((state) => (held ? state.tool : null));
  const { photograph, change } = target;
  const isFace = target.view === 'A';
  const isEdge = target.view === 'left' || target.view === 'right';
  const { picture, scale, candidates } = photograph;
  const measured = useBench((state) => state.measured !== null);
  const traced = isFace ? measured : target.lines !== null;
  const box = useRef<HTMLDivElement>(null);
  const { view, moves } = useView(box, picture.width, picture.height, tool !== null);
  const url = useBlobUrl(picture.image);
  const press = useRef<{ readonly x: number; readonly y: number; moving: boolean } | null>(null);
  const fingers = useFingers(moves);
  const [brush, setBrush] = useState<Brush>(() => ({
    radius: Math.max(2, Math.round(Math.min(picture.width, picture.height) / 100)),
    exact: false,
  }));
  const refused = useBench((state) => state.refused);
  const [pointer, setPointer] = useState<Spot | null>(null);
  const wire = useWire(target);
  const clicking = useClick(target, points, onPoints, wire.add);
  useTakenUp(box, tool !== null && CLICKED.includes(tool));

  const spotUnder = (event: PointerEvent): Spot => {
    const { left, top } = event.currentTarget.getBoundingClientRect();
    return view.toPicture(event.clientX - left, event.clientY - top);
  };
  const move = (event: PointerEvent): void => {
    if (fingers.move(event)) return;
    const pressed = press.current;
    const { measured } = bench.getState();
    if (pressed === null) {
      const spot = spotUnder(event);
      if (tool === 'edge') setPointer(spot);
      // Seen from the tip all stations lie one behind the other.
      const lines = target.view === 'tip' ? null : target.lines;
      const station = lines
        ? stationOn(lines, spot)
        : target.view === 'A' && measured && scale && stationAt(measured.record, scale, spot);
      if (typeof station === 'number') bench.pointAt(station);
      return;
    }
    const slop = event.pointerType === 'touch' ? FINGER_SLOP : SLOP;
    if (!pressed.moving && Math.hypot(event.clientX - pressed.x, event.clientY - pressed.y) < slop) return;
    if (!pressed.moving) event.currentTarget.setPointerCapture(event.pointerId);
    moves.pan(event.movementX, event.movementY);
    pressed.moving = true;
  };
  const release = (event: PointerEvent): void => {
    const pressed = press.current;
    press.current = null;
    if (fingers.release(event)) return;
    if (pressed !== null && !pressed.moving) clicking(spotUnder(event));
  };
  const ends =
    points.length > 0 ? points : scale && 'ends' in scale.evidence ? Array.from(scale.evidence.ends) : [];
  const { width, height, pixel } = picture;
  const [left, top] = view.toScreen(-0.5, -0.5);
  const side = (pixels: number): number => Math.floor(pixels / pixel) * pixel * view.scale;
  return (
    <section
      className="panel photo-view"
      data-held={beside && held}
      aria-label={isFace ? 'Photograph' : `Photograph, ${VIEW_WORDS[target.view]}`}
    >
      {!beside && <PhotoTools moves={moves} />}
      {beside && (
        <div className="panel-tools">
          <button
            type="button"
            className="button"
            aria-pressed={held}
            onClick={() => bench.takeInHand(target.view)}
          >
            {VIEW_WORDS[target.view]}
          </button>
        </div>
      )}
      {!beside && traced && (
        <OutlineTools
          brush={brush}
          onBrush={setBrush}
          scale={scale}
          onTaken={() => box.current?.focus({ preventScroll: true })}
        />
      )}
      {/* biome-ignore lint/a11y/useSemanticElements: a drawing that is moved has no element of its own */}
      <div
        ref={box}
        className="panel-fill photo-fill"
        role="group"
        aria-label={isBrush(tool) ? `${WHAT} the brush, Space lowers and lifts it` : `${WHAT} it`}
        // biome-ignore lint/a11y/noNoninteractiveTabindex: keys zoom and move it
        tabIndex={0}
        data-tool={tool ?? ''}
        onKeyDown={(event) => {
          const itself = event.target === event.currentTarget;
          if (tool !== null && CLICKED.includes(tool) && itself && event.key === 'Enter')
            clicking(view.toPicture(view.size.width / 2, view.size.height / 2));
          else if (tool === 'edge' && event.key === 'Backspace') wire.drop();
          else onKey(event, moves);
        }}
      >
        <svg
          width={view.size.width}
          height={view.size.height}
          aria-label="What was found in the photograph"
          onPointerDown={(event) => {
            press.current = null;
            if (fingers.press(event)) event.currentTarget.setPointerCapture(event.pointerId);
            else press.current = { x: event.clientX, y: event.clientY, moving: false };
          }}
          onPointerMove={move}
          onPointerUp={release}
          onPointerLeave={() => setPointer(null)}
          onPointerCancel={(event) => {
            fingers.release(event);
            press.current = null;
          }}
        >
          {url !== null && (
            <image
              href={url}
              x={left}
              y={top}
              width={side(width)}
              height={side(height)}
              preserveAspectRatio="none"
              style={{ imageRendering: view.scale * pixel > 4 ? 'pixelated' : 'auto' }}
            />
          )}
          <Candidates candidates={candidates} view={view} dragged={() => press.current?.moving ?? false} />
          <PhotoLayer view={view} />
          {isEdge && (
            <WireLayer
              view={view}
              clicks={wire.clicks}
              onClicks={wire.put}
              pointer={tool === 'edge' ? pointer : null}
            />
          )}
          {ends.length > 0 && (
            <ScaleEnds
              ends={ends}
              view={view}
              onMoved={(moved) => {
                const length = scale && 'length' in scale.evidence ? scale.evidence.length : undefined;
                const [x0, y0, x1, y1] = moved;
                if (points.length > 0 || length === undefined) onPoints(moved);
                else change({ method: 'points', points: [x0, y0, x1, y1], length, block: undefined });
              }}
            />
          )}
          <Strokes view={view} />
          {traced && isBrush(tool) && (
            <BrushLayer tool={tool} brush={brush} onBrush={setBrush} view={view} moves={moves} box={box} />
          )}
        </svg>
        {held && refused !== null && (
          <p className="brush-refused" role="alert">
            {refused} It was left out.
          </p>
        )}
        {tool !== null && CLICKED.includes(tool) && <span className="crosshair" aria-hidden="true" />}
      </div>
      {tool !== null && hintOf(tool, points.length / 2, wire.clicks.length / 2) !== '' && (
        <p className="tool-hint">{hintOf(tool, points.length / 2, wire.clicks.length / 2)}</p>
      )}
    </section>
  );
}

/** What a click on the photograph does, by the tool in hand. */
function useClick(
  { view, photograph: { scale } }: PhotoTarget,
  points: readonly number[],
  onPoints: (points: readonly number[]) => void,
  onEdge: (spot: Spot) => void,
): (spot: Spot) => void {
  const { bench } = useWorkbench();
  return ([x, y]) => {
    const { tool, measured, history, inHand } = bench.getState();
    if (view !== inHand) {
      bench.takeInHand(view);
      return;
    }
    if (tool === 'scale') {
      const next = [
        ...(points.length === 2 ? points : []),
        Math.round(100 * x) / 100,
        Math.round(100 * y) / 100,
      ];
      onPoints(next);
      if (next.length === 4) bench.takeUp(null);
      return;
    }
    if (tool === 'edge') onEdge([x, y]);
    if (view !== 'A' || (tool !== 'base' && tool !== 'tip') || measured === null || scale === null) return;
    const { record } = measured;
    const { trace } = history.present;
    const base = trace.base ?? toScanPoint(record, 0, 0);
    const tip = trace.tip ?? toScanPoint(record, 0, record.frame.length);
    bench.takeUp(null);
    bench.change('trace', { axis: 'tip-base', base, tip, [tool]: toPlacePoint(record, scale, [x, y]) });
  };
}

/** Places clicked along the winding edge. One alone is no line yet: it waits here for the second. */
function useWire({ told, change, file }: PhotoTarget) {
  const [first, setFirst] = useState<{ readonly file: string; readonly clicks: Clicks } | null>(null);
  const clicks = told.edge ?? (first?.file === file ? first.clicks : []);
  const put = (next: Clicks): void => {
    setFirst(next.length === 2 ? { file, clicks: next } : null);
    change({ edge: next.length < 4 ? undefined : next });
  };
  return {
    clicks,
    put,
    add: (spot: Spot): void => put(clickedAt(clicks, spot)),
    drop: (): void => put(clicks.slice(0, -2)),
  };
}

function onKey(event: KeyboardEvent, moves: Moves): void {
  if (event.ctrlKey || event.metaKey) return;
  if (event.key in PANS) moves.pan(...PANS[event.key]);
  else if (event.key in ZOOMS) moves.zoom(ZOOMS[event.key]);
  else if (event.key === '0') moves.fit();
  else return;
  event.preventDefault();
}
