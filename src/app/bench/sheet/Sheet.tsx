import { useMemo, useRef, useState } from 'react';
import type { MeasuredPiece } from '../../../../workers/messages.ts';
import { printNumber } from '../../words/values.ts';
import { useBench } from '../../workbench.ts';
import { PlaceHint, PlaceLayer } from '../byHand/PlaceLayer.tsx';
import { letterScale } from '../letters.ts';
import { StationSlider } from '../StationSlider.tsx';
import { valueAt } from '../series.ts';
import { ShownNote } from '../show/ShownNote.tsx';
import { ShownOnSheet } from '../show/ShownOnSheet.tsx';
import { useSize } from '../useSize.ts';
import { layOut, type SheetLayout } from './layout.ts';
import { Plan } from './Plan.tsx';
import { Profile } from './Profile.tsx';
import { StripView } from './StripView.tsx';

/** Plan, profile and station strip side by side at one scale, so that one level line is one station in all of them. */
export function Sheet({ measured }: { measured: MeasuredPiece }) {
  const { record } = measured;
  const box = useRef<HTMLDivElement>(null);
  const size = useSize(box);
  const [chosen, setFace] = useState<'A' | 'B'>('A');
  const face = measured.reliefB === undefined ? 'A' : chosen;
  const [wanted, setAlone] = useState(false);
  const showing = useBench((state) => state.shown !== null);
  const placing = useBench(({ tool }) => tool === 'base' || tool === 'tip');
  // What a measure comes from is drawn on the plan, ends are placed on it.
  const alone = wanted && !showing && !placing;
  const layout = useMemo(() => layOut(record, size, alone, letterScale()), [record, size, alone]);
  const station = useBench((state) => state.station);
  const spoken = [
    `station ${printNumber(station, 0)} percent`,
    ...(layout?.strips ?? []).map(({ along }) => {
      const value = valueAt(along, station);
      return value === null ? '' : `${along.name} ${printNumber(value, along.decimals)} ${along.unit}`;
    }),
  ].join(', ');
  return (
    <section
      className="panel sheet"
      data-showing={showing}
      aria-label="Plan, profile and measures along the length"
    >
      <div className="panel-tools">
        {/* A single photograph shows one side only. */}
        {(measured.reliefB === undefined ? [] : (['A', 'B'] as const)).map((one) => (
          <button
            key={one}
            type="button"
            className="button"
            aria-pressed={face === one && !alone}
            onClick={() => {
              setFace(one);
              setAlone(false);
            }}
          >
            Face {one}
          </button>
        ))}
        {layout && !showing && !placing && (alone || layout.leftOut > 0) && (
          <button
            type="button"
            className="button"
            aria-pressed={alone}
            title="Every strip, without the plan; there is no room for all of them beside it"
            onClick={() => setAlone(!alone)}
          >
            All strips
          </button>
        )}
        {placing ? <PlaceHint /> : <ShownNote record={record} />}
      </div>
      <div className="panel-fill" ref={box}>
        {layout && (
          <StationSlider
            className="slider"
            label="Station along the length"
            orientation="vertical"
            spoken={spoken}
            stationAt={(event) => {
              const { top } = event.currentTarget.getBoundingClientRect();
              const mm = (layout.bottom - (event.clientY - top)) / layout.scale;
              return Math.round(Math.min(100, Math.max(0, (100 * mm) / layout.length)));
            }}
          >
            <svg width={layout.width} height={layout.height} aria-hidden="true">
              <StationLines layout={layout} stations={record.settings.measure.sectionStations} />
              {!alone && <Plan layout={layout} measured={measured} face={face} />}
              {!alone && <Profile layout={layout} record={record} />}
              {layout.strips.map((strip) => (
                <StripView key={strip.along.id} strip={strip} layout={layout} />
              ))}
              <Cursor layout={layout} />
              {!alone && <ShownOnSheet record={record} layout={layout} face={face} />}
            </svg>
          </StationSlider>
        )}
        {layout && !alone && <PlaceLayer record={record} layout={layout} face={face} />}
      </div>
    </section>
  );
}

/** So near to the station's own label another one can't be read, px. */
const LABEL_HEIGHT = 13;

function StationLines({ layout, stations }: { layout: SheetLayout; stations: readonly number[] }) {
  const pointed = layout.toY((useBench((state) => state.station) / 100) * layout.length);
  const right = layout.strips.at(-1)?.right ?? layout.width;
  return (
    <g className="station-lines">
      {stations.map((station) => {
        const y = layout.toY((station / 100) * layout.length);
        return (
          <g key={station}>
            <line x1={layout.labelX + 4} x2={right} y1={y} y2={y} />
            {Math.abs(y - pointed) >= LABEL_HEIGHT && (
              <text x={layout.labelX} y={y} dy="0.32em" textAnchor="end">
                {station}
              </text>
            )}
          </g>
        );
      })}
    </g>
  );
}

/** The level line at the station, with each strip's value on it. */
function Cursor({ layout }: { layout: SheetLayout }) {
  const station = useBench((state) => state.station);
  const y = layout.toY((station / 100) * layout.length);
  const right = layout.strips.at(-1)?.right ?? layout.width;
  return (
    <g className="cursor">
      <line x1={layout.labelX + 4} x2={right} y1={y} y2={y} />
      <text className="cursor-label" x={layout.labelX} y={y} dy="0.32em" textAnchor="end">
        {printNumber(station, 0)}
      </text>
      {layout.strips.map(({ along, left }) => {
        const value = valueAt(along, station);
        return (
          <text key={along.id} className="cursor-value" x={left} y={layout.valueY}>
            {value === null ? '–' : printNumber(value, along.decimals)}
            {along.unit !== '' && <tspan className="column-unit">&#8239;{along.unit}</tspan>}
          </text>
        );
      })}
    </g>
  );
}
