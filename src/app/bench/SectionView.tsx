import { useRef } from 'react';
import type { MeasuredPiece } from '../../../workers/messages.ts';
import type { RecordSection } from '../../record/schema.ts';
import { printNumber } from '../words/values.ts';
import { useBench, useWorkbench } from '../workbench.ts';
import { pathOf } from './paths.ts';
import { useSize } from './useSize.ts';

const PAD = 30;

/** The section nearest to the station, Face A up, at one scale for the whole piece; the nine stations to choose from. */
export function SectionView({ measured }: { measured: MeasuredPiece }) {
  const { bench } = useWorkbench();
  const box = useRef<HTMLDivElement>(null);
  const size = useSize(box);
  const station = useBench((state) => state.station);
  const { record } = measured;
  const sections = record.sections.toSorted((a, b) => a.station - b.station);
  if (sections.length === 0) return null;
  const section = sections.reduce((best, one) =>
    Math.abs(one.station - station) < Math.abs(best.station - station) ? one : best,
  );
  const widest = Math.max(...sections.map(({ width }) => width));
  const thickest = Math.max(...sections.map(({ thickness }) => thickness));
  const scale = Math.min((size.width - 2 * PAD) / widest, (size.height - 2 * PAD) / (1.3 * thickest));
  return (
    <section className="panel section-view" aria-label="Section across the piece">
      <p className="section-words">
        <strong>Section at {printNumber(section.station, 0)}</strong>
        {section.at !== 'station' && ` (greatest ${section.at})`} {words(section)}
      </p>
      <div className="panel-fill" ref={box}>
        {scale > 0 && (
          <svg width={size.width} height={size.height} role="img" aria-label={`Section: ${words(section)}`}>
            <SectionDrawing section={section} scale={scale} width={size.width} height={size.height} />
          </svg>
        )}
      </div>
      <div className="section-choice">
        {sections
          .filter(({ at }) => at === 'station')
          .map((one) => (
            <button
              key={one.station}
              type="button"
              className="button"
              aria-label={`Section at station ${one.station}`}
              aria-pressed={one === section}
              onClick={() => bench.pointAt(one.station)}
            >
              {one.station}
            </button>
          ))}
      </div>
    </section>
  );
}

function words({ width, thickness, area, form }: RecordSection): string {
  return `${printNumber(width, 1)} × ${printNumber(thickness, 1)}\u2009mm, ${printNumber(area, 0)}\u2009mm², ${form}`;
}

interface DrawingProps {
  readonly section: RecordSection;
  readonly scale: number;
  readonly width: number;
  readonly height: number;
}

function SectionDrawing({ section, scale, width, height }: DrawingProps) {
  const loops = [section.points, ...section.more];
  const x = section.points.map(([across]) => across);
  const z = section.points.map(([, up]) => up);
  const [low, high] = [Math.min(...z), Math.max(...z)];
  const [left, right] = [Math.min(...x), Math.max(...x)];
  const toX = (mm: number): number => width / 2 + (mm - (left + right) / 2) * scale;
  const toY = (mm: number): number => height / 2 - (mm - (low + high) / 2) * scale;
  const side = toX(right) + 12;
  return (
    <g className="section-drawing">
      <path
        className="section-body"
        fillRule="evenodd"
        d={loops.map((loop) => pathOf(loop, toX, toY, true)).join('')}
      />
      <line className="plan-axis" x1={toX(left) - 10} x2={toX(right) + 6} y1={toY(0)} y2={toY(0)} />
      <path className="dimension" d={`M${side - 4} ${toY(high)}h8m-4 0V${toY(low)}m-4 0h8`} />
      <text className="column-note" x={toX(left)} y={toY(high) - 8} textAnchor="middle">
        A
      </text>
      <text className="column-note" x={toX(left)} y={toY(low) + 16} textAnchor="middle">
        B
      </text>
    </g>
  );
}
