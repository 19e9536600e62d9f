import { memo } from 'react';
import type { MeasuredPiece } from '../../../../workers/messages.ts';
import type { Pair } from '../../../record/schema.ts';
import { markedStretches, stretchInPlan, stretchWords } from '../markedStretches.ts';
import { pathOf } from '../paths.ts';
import { useBlobUrl } from '../useBlobUrl.ts';
import { type SheetLayout, scaleBar } from './layout.ts';

interface PlanProps {
  readonly layout: SheetLayout;
  readonly measured: MeasuredPiece;
  readonly face: 'A' | 'B';
}

/** One face in plan: lit from the upper left, its outline, the outline mirrored in the axis, midline, humps, and what was marked of its margin. */
export const Plan = memo(function Plan({ layout, measured, face }: PlanProps) {
  const { record } = measured;
  const relief = face === 'A' ? measured.reliefA : measured.reliefB;
  const url = useBlobUrl(relief?.image);
  const { planX, scale, toY } = layout;
  // Face B is the piece turned about its length axis: right becomes left.
  const sign = face === 'A' ? 1 : -1;
  const toX = (x: number): number => planX + sign * x * scale;
  const mirrored = (x: number): number => planX - sign * x * scale;
  // A photograph of Face B has an outline of its own, and no midline.
  const own = face === 'B' ? relief?.outline : undefined;
  const rings: readonly (readonly Pair[])[] = own ?? [record.outline.outer, ...record.outline.inner];
  const outline = rings.map((ring) => pathOf(ring, toX, toY, true)).join('');
  const midline = pathOf(record.midline, toX, toY);
  const other = rings.map((ring) => pathOf(ring, mirrored, toY, true)).join('');
  return (
    <g className="plan">
      {url !== null && relief && (
        <image
          href={url}
          x={planX + relief.x * scale}
          y={toY(relief.y + relief.height)}
          width={relief.width * scale}
          height={relief.height * scale}
          preserveAspectRatio="none"
        />
      )}
      <path className="plan-difference" d={outline + other} fillRule="evenodd" />
      <path className="plan-mirrored" d={other} />
      <path className="plan-outline" d={outline} />
      {markedStretches(record).map((stretch) => (
        <path
          key={`${stretch.kind}${stretch.from}`}
          className={`plan-marked plan-${stretch.kind}`}
          d={pathOf(stretchInPlan(record.margin, stretch), toX, toY)}
        >
          <title>{stretchWords(stretch)}</title>
        </path>
      ))}
      <line className="plan-axis" x1={planX} x2={planX} y1={layout.top - 8} y2={layout.bottom + 8} />
      {own === undefined && record.source.kind === 'photo' && <path className="plan-seam" d={midline} />}
      {own === undefined && <path className="plan-midline" d={midline} />}
      {record.humps.map((hump, index) => {
        if (hump.face !== face) return null;
        const [x, y] = hump.peak;
        return (
          // biome-ignore lint/suspicious/noArrayIndexKey: humps have no name but their place in the record
          <g key={index} className="plan-hump">
            <path d={pathOf(hump.footprint, toX, toY, true)} />
            <text x={toX(x)} y={toY(y)} dy="0.35em" textAnchor="middle">
              {index + 1}
            </text>
          </g>
        );
      })}
      <text className="column-name" x={planX} y={layout.nameY} textAnchor="middle">
        Face {face}
      </text>
      <ScaleBar layout={layout} />
    </g>
  );
});

function ScaleBar({ layout }: { layout: SheetLayout }) {
  const { mm, from, to } = scaleBar(layout);
  const y = layout.bottom + 14;
  return (
    <g className="scale-bar">
      <path d={`M${from} ${y - 3}v6M${from} ${y}H${to}m0 -3v6`} />
      <text x={to + 5} y={y} dy="0.35em">
        {mm}&#8239;mm
      </text>
    </g>
  );
}
