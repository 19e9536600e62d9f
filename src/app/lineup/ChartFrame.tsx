import { quadtree } from 'd3-quadtree';
import {
  type KeyboardEvent,
  type PointerEvent,
  type ReactNode,
  useId,
  useMemo,
  useRef,
  useState,
} from 'react';
import { downloadSvg } from './exportFigure.ts';

/** A piece's place in a picture, in the picture's own units. */
export interface Spot {
  readonly key: string;
  readonly name: string;
  readonly x: number;
  readonly y: number;
}

interface ChartFrameProps {
  /** File name of what is exported, without ending. */
  readonly file: string;
  readonly label: string;
  readonly width: number;
  readonly height: number;
  /** What stands below the picture and inside the exported one. */
  readonly caption: string;
  /** Where the pieces are; asked for when one first points at something. Null: none are pointed at. */
  readonly spotsOf: (() => readonly Spot[]) | null;
  readonly picked: readonly string[];
  readonly onPick: (key: string) => void;
  readonly onCsv: () => void;
  readonly children: ReactNode;
}

/** How near the pointer must come to a piece, in units of the picture. */
const REACH = 14;

/** A picture with its caption and its files. Pieces in it are pointed at and picked, by pointer or by keys. */
export function ChartFrame(props: ChartFrameProps) {
  const { file, label, width, height, caption, spotsOf, picked, onPick, onCsv, children } = props;
  const svg = useRef<SVGSVGElement>(null);
  const captionId = useId();
  const [at, setAt] = useState<string | null>(null);
  // Made when it is first asked for: pictures of thousands are drawn sooner without it.
  const index = useMemo(() => onDemand(() => indexOf(spotsOf?.() ?? [])), [spotsOf]);
  const under = (event: PointerEvent): Spot | undefined => {
    const toScreen = svg.current?.getScreenCTM();
    if (!toScreen) return undefined;
    const { x, y } = new DOMPoint(event.clientX, event.clientY).matrixTransform(toScreen.inverse());
    return index().tree.find(x, y, REACH);
  };
  const step = (event: KeyboardEvent): void => {
    const move = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    const { ordered } = index();
    if (ordered.length === 0) return;
    if (move !== undefined) {
      const now = ordered.findIndex(({ key }) => key === at);
      const next = now < 0 ? 0 : Math.min(ordered.length - 1, Math.max(0, now + move));
      setAt(ordered[next].key);
    } else if ((event.key === 'Enter' || event.key === ' ') && at !== null) onPick(at);
    else return;
    event.preventDefault();
  };
  const pointed = at === null ? undefined : index().byKey.get(at);
  return (
    <figure className="figure">
      <div className="chart-room">
        <svg
          ref={svg}
          className="chart"
          viewBox={`0 0 ${width} ${height}`}
          role={spotsOf !== null ? 'application' : 'img'}
          aria-label={spotsOf !== null ? `${label}. Arrow keys go from piece to piece, Enter picks.` : label}
          aria-describedby={captionId}
          tabIndex={spotsOf !== null ? 0 : undefined}
          onPointerMove={(event) => setAt(under(event)?.key ?? null)}
          onPointerLeave={() => setAt(null)}
          onClick={() => at !== null && onPick(at)}
          onKeyDown={step}
        >
          {children}
          {picked.map((key) => {
            const spot = index().byKey.get(key);
            return spot && <Ring key={key} spot={spot} width={width} />;
          })}
          {pointed && !picked.includes(pointed.key) && (
            <g data-screen="">
              <Ring spot={pointed} width={width} />
            </g>
          )}
        </svg>
      </div>
      <p className="unseen" aria-live="polite">
        {pointed && `${pointed.name}${picked.includes(pointed.key) ? ', picked' : ''}`}
      </p>
      <figcaption id={captionId}>{caption}</figcaption>
      <p className="figure-files">
        <button
          type="button"
          className="button"
          onClick={() => svg.current && downloadSvg(file, svg.current, caption)}
        >
          Save picture (SVG)
        </button>
        <button type="button" className="button" onClick={onCsv}>
          Save data (CSV)
        </button>
      </p>
    </figure>
  );
}

function indexOf(spots: readonly Spot[]) {
  const known = spots.filter(({ x, y }) => Number.isFinite(x) && Number.isFinite(y));
  return {
    tree: quadtree<Spot>(
      known,
      ({ x }) => x,
      ({ y }) => y,
    ),
    byKey: new Map(known.map((spot) => [spot.key, spot])),
    ordered: known.toSorted((a, b) => a.x - b.x || a.y - b.y),
  };
}

function onDemand<T>(make: () => T): () => T {
  let made: T | undefined;
  return () => {
    made ??= make();
    return made;
  };
}

function Ring({ spot: { x, y, name }, width }: { spot: Spot; width: number }) {
  const right = x < width - 160;
  return (
    <>
      <circle className="ring" cx={x} cy={y} r={8} />
      <text className="label" x={right ? x + 12 : x - 12} y={y + 4} textAnchor={right ? 'start' : 'end'}>
        {name}
      </text>
    </>
  );
}
