import type { Mark, Place } from './marks.ts';

/** Half a tick at the end of a dimension, px. */
const TICK = 4;
/** Shorter strokes are seen end-on: they are drawn as a place, px. */
const END_ON = 3;

type Spot = readonly [x: number, y: number];

interface ShownMarksProps {
  readonly marks: readonly Mark[];
  /** From the piece to the drawing, px. */
  readonly project: (place: Place) => Spot;
}

/** Strokes of what a measure comes from, over a flat drawing. Each lies on a pale seam, so that it reads on any ground. */
export function ShownMarks({ marks, project }: ShownMarksProps) {
  if (marks.length === 0) return null;
  return (
    <g className="shown">
      {marks.map((mark, index) => {
        const spots = mark.points.map(project);
        const drawn = endOn(mark, spots)
          ? { kind: 'dot', d: dotPath(spots[0]) }
          : { kind: mark.kind, d: pathFor(mark, spots) };
        return (
          // biome-ignore lint/suspicious/noArrayIndexKey: strokes have no name but their place
          <g key={index} className={`shown-${drawn.kind}`}>
            <path className="shown-seam" d={drawn.d} />
            <path className="shown-stroke" d={drawn.d} />
          </g>
        );
      })}
    </g>
  );
}

function endOn({ kind }: Mark, spots: readonly Spot[]): boolean {
  if (kind === 'dot') return true;
  if (kind !== 'dimension') return false;
  const [[ax, ay], [bx, by]] = spots;
  return Math.hypot(bx - ax, by - ay) < END_ON;
}

function dotPath([x, y]: Spot): string {
  return `M${x - 4.5} ${y}a4.5 4.5 0 1 0 9 0a4.5 4.5 0 1 0 -9 0`;
}

function pathFor({ kind }: Mark, spots: readonly Spot[]): string {
  const way = spots.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join('L');
  if (kind === 'ring') return `M${way}Z`;
  if (kind !== 'dimension') return `M${way}`;
  const [[ax, ay], [bx, by]] = spots;
  const size = Math.hypot(bx - ax, by - ay);
  const [tx, ty] = [(-TICK * (by - ay)) / size, (TICK * (bx - ax)) / size];
  const tick = (x: number, y: number): string =>
    `M${(x - tx).toFixed(1)} ${(y - ty).toFixed(1)}L${(x + tx).toFixed(1)} ${(y + ty).toFixed(1)}`;
  return `M${way}${tick(ax, ay)}${tick(bx, by)}`;
}
