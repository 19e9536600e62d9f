import type { Correction } from '../../../trace/types.ts';
import { useBench } from '../../workbench.ts';
import type { Spot } from './places.ts';
import { correctionsOf, usePhotoTarget } from './target.ts';
import type { View } from './useView.ts';

/** Corrections that are asked for and not drawn into the outline yet. */
export function Strokes({ view }: { view: View }) {
  const { view: shown, photograph } = usePhotoTarget();
  const asked = useBench(({ history }) => correctionsOf(history.present, shown));
  const done = useBench(({ settled }) => correctionsOf(settled.present, shown));
  const drawn = photograph.lines !== undefined;
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

/** One stroke as it is drawn: its whole breadth, or the way of a line that is moved. */
export function Stroke({ kind, line, radius, view }: StrokeProps) {
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
