import { memo } from 'react';
import type { Look } from './look.ts';
import type { Place, Shown } from './marks.ts';

/** A picture fits into this, px. */
const SIZE = 26;
const PAD = 3;
/** Corners that a small ring needs. */
const CORNERS = 60;

/** The small picture beside a measure: this piece's own plan, edge-on view or section with what is measured on it. */
export const Thumbnail = memo(function Thumbnail({ look, shown }: { look: Look; shown: Shown }) {
  const view = viewOf(shown, look);
  const ground = thin(groundOf(look, shown, view));
  const strokes = shown.marks.map(({ kind, points }) => ({ kind, spots: thin(points).map(view) }));
  const bounds = boundsOf([ground, ...strokes.map(({ spots }) => spots)]);
  const scale = (SIZE - 2 * PAD) / Math.max(bounds.right - bounds.left, bounds.top - bounds.low, 1e-9);
  const toX = (x: number): number => SIZE / 2 + (x - (bounds.left + bounds.right) / 2) * scale;
  const toY = (y: number): number => SIZE / 2 - (y - (bounds.low + bounds.top) / 2) * scale;
  const path = (spots: readonly Spot[], closed: boolean): string =>
    spots.length === 0
      ? ''
      : `M${spots
          .map(([x, y]) => `${toX(x).toFixed(1)} ${toY(y).toFixed(1)}`)
          .join('L')}${closed ? 'Z' : ''}`;
  return (
    <svg className="thumbnail" width={SIZE} height={SIZE} aria-hidden="true">
      <path className="thumbnail-ground" d={path(ground, true)} />
      {strokes.map(({ kind, spots }, index) => {
        const key = `${kind}${index}`;
        if (kind === 'dot') {
          return (
            <circle key={key} className="thumbnail-dot" cx={toX(spots[0][0])} cy={toY(spots[0][1])} r={2.2} />
          );
        }
        return <path key={key} className={`thumbnail-${kind}`} d={path(spots, kind === 'ring')} />;
      })}
    </svg>
  );
});

type Spot = readonly [number, number];
type View = (place: Place) => Spot;

const plan: View = ([x, y]) => [x, y];
const edgeOn: View = ([, y, z]) => [z, y];
const section: View = ([x, , z]) => [x, z];

/** The view in which most of the strokes are seen. */
function viewOf({ marks }: Shown, { length }: Look): View {
  const all = marks.flatMap(({ points }) => points);
  const reach = (axis: 0 | 1 | 2): number =>
    Math.max(...all.map((place) => place[axis])) - Math.min(...all.map((place) => place[axis]));
  if (reach(1) < 1e-6 * length && reach(2) > 0) return section;
  const levels = marks.some(({ kind, points }) => kind === 'dimension' && points[0][2] !== points[1][2]);
  return reach(0) < 1e-6 * length && reach(2) > 0 && levels ? edgeOn : plan;
}

function groundOf({ record }: Look, { marks }: Shown, view: View): readonly Spot[] {
  if (view === plan) return record.outline.outer;
  if (view === section) return (marks.find(({ points }) => points.length > 2)?.points ?? []).map(view);
  const { y, faceA, faceB } = record.profile;
  return [...y.map((at, i): Spot => [faceA[i], at]), ...y.map((at, i): Spot => [faceB[i], at]).toReversed()];
}

function boundsOf(lines: readonly (readonly Spot[])[]) {
  const bounds = { left: Infinity, right: -Infinity, low: Infinity, top: -Infinity };
  for (const [x, y] of lines.flat()) {
    bounds.left = Math.min(bounds.left, x);
    bounds.right = Math.max(bounds.right, x);
    bounds.low = Math.min(bounds.low, y);
    bounds.top = Math.max(bounds.top, y);
  }
  return bounds;
}

/** So few corners that some hundred pictures are drawn in no time. */
function thin<T>(places: readonly T[]): readonly T[] {
  const step = Math.ceil(places.length / CORNERS);
  return step <= 1 ? places : places.filter((_, i) => i % step === 0 || i === places.length - 1);
}
