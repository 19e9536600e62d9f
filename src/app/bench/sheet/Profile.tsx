import { memo } from 'react';
import type { Pair, SpecimenRecord } from '../../../record/schema.ts';
import { pathOf } from '../paths.ts';
import { tracedEdge } from '../tracedEdge.ts';
import type { SheetLayout } from './layout.ts';

/** The piece edge-on, seen from its left, Face A to the right: silhouette, margin plane and both winding margins. */
export const Profile = memo(function Profile({
  layout,
  record,
}: {
  layout: SheetLayout;
  record: SpecimenRecord;
}) {
  const { profileX, scale, toY, top, bottom } = layout;
  if (profileX === null) return null;
  const toX = (z: number): number => profileX + z * scale;
  const { y, faceA, faceB } = record.profile;
  const silhouette: Pair[] = [
    ...y.map((at, i): Pair => [faceA[i], at]),
    ...y.map((at, i): Pair => [faceB[i], at]).toReversed(),
  ];
  const side = (one: 'left' | 'right'): Pair[] =>
    record.margin.length > 0
      ? record.margin.filter((point) => point.side === one).map(({ z, y: at }): Pair => [z, at])
      : tracedEdge(record, one);
  return (
    <g className="profile">
      <path className="profile-body" d={pathOf(silhouette, toX, toY, true)} />
      <line className="plan-axis" x1={profileX} x2={profileX} y1={top - 8} y2={bottom + 8} />
      <path className="side-right" d={pathOf(side('right'), toX, toY)} />
      <path className="side-left" d={pathOf(side('left'), toX, toY)} />
      <text className="column-name" x={profileX} y={layout.nameY} textAnchor="middle">
        Edge-on
      </text>
      <text className="column-note" x={profileX - 6} y={layout.noteY} textAnchor="end">
        B
      </text>
      <text className="column-note" x={profileX + 6} y={layout.noteY}>
        A
      </text>
    </g>
  );
});
