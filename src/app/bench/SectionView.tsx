import { useMemo, useRef } from 'react';
import type { MeasuredPiece } from '../../../workers/messages.ts';
import { printNumber } from '../words/values.ts';
import { useBench, useWorkbench } from '../workbench.ts';
import { areaOf, boundsOf, type Cut, cutAt, thickestOf } from './cuts.ts';
import type { Mark } from './show/marks.ts';
import { ShownMarks } from './show/ShownMarks.tsx';
import { useShown } from './show/useShown.ts';
import { useSize } from './useSize.ts';

/** Room for the letters and the dimension round the drawing, px. */
const PAD = 30;

/** The section at the station, Face A up, at one scale for the whole piece; the listed stations to choose from. */
export function SectionView({ measured }: { measured: MeasuredPiece }) {
  const { bench } = useWorkbench();
  const box = useRef<HTMLDivElement>(null);
  const size = useSize(box);
  const station = useBench((state) => state.station);
  const cut = cutAt(measured, station);
  const { record, drawn } = measured;
  const missing = drawn === undefined ? 'will be cut when the surface is read' : 'not cut';
  const largest = useMemo(() => largestOf(measured), [measured]);
  const shown = useShown(record);
  const marks = shown === null || cut === null ? [] : marksAt(shown.marks, cut.station, record.frame.length);
  const scale = Math.min((size.width - 2 * PAD) / largest.width, (size.height - 2 * PAD) / largest.height);
  return (
    <section className="panel section-view" aria-label="Section across the piece">
      <p className="section-words">
        <strong>Section at {cut?.station ?? printNumber(station, 0)}</strong>{' '}
        {cut === null ? missing : wordsOf(cut)}
      </p>
      <div className="panel-fill" ref={box}>
        {cut !== null && scale > 0 && (
          <svg width={size.width} height={size.height} role="img" aria-label={`Section, ${wordsOf(cut)}`}>
            <SectionDrawing
              loops={cut.loops}
              marks={marks}
              scale={scale}
              width={size.width}
              height={size.height}
            />
          </svg>
        )}
      </div>
      <div className="section-choice">
        {record.settings.measure.sectionStations.map((one) => (
          <button
            key={one}
            type="button"
            className="button"
            aria-label={`Section at station ${one}`}
            aria-pressed={one === cut?.station}
            onClick={() => bench.pointAt(one)}
          >
            {one}
          </button>
        ))}
      </div>
    </section>
  );
}

/** How far from the cut a stroke may lie and still belong to it, percent of the length: cuts are made at whole percents. */
const NEAR = 0.6;

/** The strokes that lie in the section. */
function marksAt(marks: readonly Mark[], station: number, length: number): readonly Mark[] {
  return marks.filter(
    ({ kind, points }) =>
      // A helping line along the section is the section itself.
      !(kind === 'guide' && points.length > 2) &&
      points.every(([, y]) => Math.abs((100 * y) / length - station) <= NEAR),
  );
}

/** Width and height that hold every section of the piece, mm. */
function largestOf({ drawn, record }: MeasuredPiece): { width: number; height: number } {
  // Before the surface is read the record's own sections are all there is.
  const listed = drawn === undefined ? record.sections : [];
  let width = Math.max(1, ...listed.map((section) => section.width));
  let height = Math.max(1, ...listed.map((section) => section.thickness));
  for (const loops of drawn?.cuts ?? []) {
    const { left, right, low, high } = boundsOf(loops);
    width = Math.max(width, right - left);
    height = Math.max(height, high - low);
  }
  return { width, height };
}

function wordsOf({ loops, listed }: Cut): string {
  const { left, right } = boundsOf(loops);
  const thickest = thickestOf(loops);
  const width = listed?.width ?? right - left;
  const thickness = listed?.thickness ?? thickest.high - thickest.low;
  const area = listed?.area ?? areaOf(loops);
  const size = `${printNumber(width, 1)} × ${printNumber(thickness, 1)}\u202fmm, ${printNumber(area, 0)}\u202fmm²`;
  return listed === undefined ? size : `${size}, ${listed.form}`;
}

interface DrawingProps {
  readonly loops: readonly Float32Array[];
  readonly marks: readonly Mark[];
  readonly scale: number;
  readonly width: number;
  readonly height: number;
}

function SectionDrawing({ loops, marks, scale, width, height }: DrawingProps) {
  const { left, right, low, high } = boundsOf(loops);
  const toX = (mm: number): number => width / 2 + (mm - (left + right) / 2) * scale;
  const toY = (mm: number): number => height / 2 - (mm - (low + high) / 2) * scale;
  const side = toX(right) + 12;
  const thickest = thickestOf(loops);
  const body = loops.map((loop) => {
    let path = '';
    for (let i = 0; i < loop.length; i += 2) {
      path += `${i === 0 ? 'M' : 'L'}${toX(loop[i]).toFixed(1)} ${toY(loop[i + 1]).toFixed(1)}`;
    }
    return `${path}Z`;
  });
  return (
    <g className="section-drawing">
      <path className="section-body" fillRule="evenodd" d={body.join('')} />
      <line className="plan-axis" x1={toX(left) - 10} x2={toX(right) + 6} y1={toY(0)} y2={toY(0)} />
      <path
        className="dimension"
        d={`M${side - 4} ${toY(thickest.high)}h8m-4 0V${toY(thickest.low)}m-4 0h8`}
      />
      <ShownMarks marks={marks} project={([x, , z]) => [toX(x), toY(z)]} />
      <text className="column-note" x={toX(left) - 6} y={toY(0) - 8} textAnchor="end">
        A
      </text>
      <text className="column-note" x={toX(left) - 6} y={toY(0) + 18} textAnchor="end">
        B
      </text>
    </g>
  );
}
