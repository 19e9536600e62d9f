import type { ViewLines } from '../../../../workers/messages.ts';
import type { PhotoScale } from '../../../intake/photoTypes.ts';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { useBench } from '../../workbench.ts';
import { numbers } from '../series.ts';
import type { Mark, Place } from '../show/marks.ts';
import { ShownMarks } from '../show/ShownMarks.tsx';
import { useShown } from '../show/useShown.ts';
import { tellsOfPlaces } from './doubts.ts';
import { type Spot, toPixel } from './places.ts';
import { ringPath } from './ringPath.ts';
import { usePhotoTarget } from './target.ts';
import type { View } from './useView.ts';
import { chordOn, jawsOn } from './viewLines.ts';

/** What was traced: outline, midline, length axis, the markers that were read, and the station in hand. */
export function PhotoLayer({ view }: { view: View }) {
  const ofFaceA = useBench((state) => state.measured);
  const working = useBench((state) => state.phase === 'working');
  const target = usePhotoTarget();
  const { photograph } = target;
  const { scale } = photograph;
  const measured = target.view === 'A' ? ofFaceA : null;
  // The line follows a correction at once, and its numbers after a moment.
  const lines = (working ? photograph.lines : undefined) ?? measured?.photo;
  const drawn = lines && [
    ['outline', ringPath(lines.outline, view)],
    ['axis', ringPath([lines.axis], view, false)],
    ['midline', ringPath([lines.midline], view, false)],
    ['drawn', ringPath(lines.drawn, view, false)],
  ];
  return (
    <g className="photo-layer">
      {scale?.evidence.kind === 'mat' && (
        <path
          className="photo-marker"
          d={ringPath(
            scale.evidence.markers.map(({ corners }) => corners),
            view,
          )}
        />
      )}
      {lines && measured && tellsOfPlaces(measured.record) && (
        <path className="photo-doubted" d={ringPath(lines.doubted, view, false)} />
      )}
      {drawn?.map(([name, d]) => (
        <g key={name}>
          <path className="photo-seam" d={d} />
          <path className={`photo-${name}`} d={d} />
        </g>
      ))}
      {target.lines && <OfView lines={target.lines} view={view} endOn={target.view === 'tip'} />}
      {target.lines && target.view === 'tip' && ofFaceA && (
        <JawsShown record={ofFaceA.record} lines={target.lines} view={view} />
      )}
      {measured && scale && <Station record={measured.record} scale={scale} view={view} />}
      {measured && scale && <Marks record={measured.record} scale={scale} view={view} />}
    </g>
  );
}

interface OfViewProps {
  readonly lines: ViewLines;
  readonly view: View;
  /** Seen from the tip: all stations lie one behind the other. */
  readonly endOn: boolean;
}

/** What was traced in a further photograph. */
function OfView({ lines, view, endOn }: OfViewProps) {
  const station = useBench((state) => state.station);
  const chord = endOn ? null : chordOn(lines, station);
  const drawn = [
    ['outline', ringPath([lines.outline], view)],
    ['axis', ringPath([lines.axis], view, false)],
    ['station', chord === null ? '' : ringPath([chord.flat()], view, false)],
  ];
  return drawn.map(([name, d]) => (
    <g key={name}>
      <path className="photo-seam" d={d} />
      <path className={`photo-${name}`} d={d} />
    </g>
  ));
}

/** Seen from the tip: what a thickness comes from that was taken from there. */
function JawsShown({ record, lines, view }: { record: SpecimenRecord; lines: ViewLines; view: View }) {
  const shown = useShown(record);
  if (!shown?.fromTip) return null;
  const { faces, across } = jawsOn(lines);
  const flat = ([x, y]: Spot): Place => [x, y, 0];
  const marks = [
    ...faces.map((face): Mark => ({ kind: 'guide', points: face.map(flat) })),
    { kind: 'dimension', points: across.map(flat) } as const,
  ];
  return <ShownMarks marks={marks} project={([x, y]) => view.toScreen(x, y)} />;
}

interface OnPicture {
  readonly record: SpecimenRecord;
  readonly scale: PhotoScale;
  readonly view: View;
}

/** The chord at the station that all views point at. */
function Station({ record, scale, view }: OnPicture) {
  const station = useBench((state) => state.station);
  const { halfWidths } = record.series;
  const stations = numbers(halfWidths, 'station');
  const at = stations.findIndex((s) => s !== null && s >= station);
  const [left, right] = [numbers(halfWidths, 'left')[at], numbers(halfWidths, 'right')[at]];
  if (typeof left !== 'number' || typeof right !== 'number') return null;
  const y = (station / 100) * record.frame.length;
  const spot = (x: number): Spot => view.toScreen(...toPixel(record, scale, x, y));
  const d = `M${spot(-left).join(' ')}L${spot(right).join(' ')}`;
  return (
    <>
      <path className="photo-seam" d={d} />
      <path className="photo-station" d={d} />
    </>
  );
}

/** What the chosen measure comes from. */
function Marks({ record, scale, view }: OnPicture) {
  const shown = useShown(record);
  if (shown === null) return null;
  return (
    <ShownMarks
      marks={shown.marks.filter(({ points }) => points.every(([, , z]) => z === 0))}
      project={([x, y]) => view.toScreen(...toPixel(record, scale, x, y))}
    />
  );
}
