import { startTransition, useEffect, useState } from 'react';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { whenIdle } from '../../idle.ts';
import type { Look } from './look.ts';
import type { Mark, Place, Shown } from './marks.ts';
import { showMeasure } from './table.ts';
import { lookOf } from './useShown.ts';

/** A picture fits into this, px. */
const SIZE = 26;
const PAD = 3;
/** Corners that a small ring needs. */
const CORNERS = 60;

/** The small picture beside a measure, as it is drawn: this piece's own plan, edge-on view or section with what is measured on it. */
export interface Picture {
  readonly ground: string;
  readonly strokes: readonly { readonly kind: Mark['kind']; readonly path: string; readonly at: Spot }[];
}

/**
 * The picture of a measure; null where there is nothing to show, and until it is drawn. Some hundred of them would hold up
 * the page, so that they are drawn when there is time for it.
 */
export function useThumbnail(record: SpecimenRecord, id: string): Picture | null {
  const [picture, setPicture] = useState<Picture | null>(null);
  useEffect(
    () =>
      whenIdle(() => {
        const look = lookOf(record);
        const shown = showMeasure(look, id);
        const drawn = shown && drawThumbnail(look, shown);
        startTransition(() => setPicture(drawn));
      }),
    [record, id],
  );
  return picture;
}

export function Thumbnail({ picture: { ground, strokes } }: { picture: Picture }) {
  return (
    <svg className="thumbnail" width={SIZE} height={SIZE} aria-hidden="true">
      <path className="thumbnail-ground" d={ground} />
      {strokes.map(({ kind, path, at: [x, y] }, index) => {
        const key = `${kind}${index}`;
        return kind === 'dot' ? (
          <circle key={key} className="thumbnail-dot" cx={x} cy={y} r={2.2} />
        ) : (
          <path key={key} className={`thumbnail-${kind}`} d={path} />
        );
      })}
    </svg>
  );
}

export function drawThumbnail(look: Look, shown: Shown): Picture {
  const marks = shown.marks.map(({ kind, points }): Mark => ({ kind, points: thin(points) }));
  const view = viewOf(marks, look);
  const ground = groundOf(look, marks, view);
  const strokes = marks.map(({ kind, points }) => ({ kind, spots: points.map(view) }));
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
  return {
    ground: path(ground, true),
    strokes: strokes.map(({ kind, spots }) => ({
      kind,
      path: path(spots, kind === 'ring'),
      at: [toX(spots[0][0]), toY(spots[0][1])],
    })),
  };
}

type Spot = readonly [number, number];
type View = (place: Place) => Spot;

const plan: View = ([x, y]) => [x, y];
const edgeOn: View = ([, y, z]) => [z, y];
const section: View = ([x, , z]) => [x, z];

/** The view in which most of the strokes are seen. */
function viewOf(marks: readonly Mark[], { length }: Look): View {
  const all = marks.flatMap(({ points }) => points);
  const reach = (axis: 0 | 1 | 2): number =>
    Math.max(...all.map((place) => place[axis])) - Math.min(...all.map((place) => place[axis]));
  if (reach(1) < 1e-6 * length && reach(2) > 0) return section;
  return reach(0) < 1e-6 * length && reach(2) > 0 ? edgeOn : plan;
}

function groundOf({ record }: Look, marks: readonly Mark[], view: View): readonly Spot[] {
  if (view === plan) return thin(record.outline.outer);
  if (view === section) return (marks.find(({ points }) => points.length > 2)?.points ?? []).map(view);
  const { y, faceA, faceB } = record.profile;
  const side = (z: readonly number[]): readonly Spot[] => thin(y.map((at, i): Spot => [z[i], at]));
  return [...side(faceA), ...side(faceB).toReversed()];
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
