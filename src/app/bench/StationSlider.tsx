import type { KeyboardEvent, PointerEvent, ReactNode } from 'react';
import { useBench, useWorkbench } from '../workbench.ts';

/** Steps of the keys, percent of the length. */
const STEPS: Readonly<Record<string, number>> = { ArrowUp: 1, ArrowDown: -1, PageUp: 10, PageDown: -10 };

interface StationSliderProps {
  readonly label: string;
  readonly className: string;
  /** Station under the pointer, or null where there is none. */
  readonly stationAt: (event: PointerEvent<HTMLElement>) => number | null;
  /** What stands at the station, for a screen reader. */
  readonly spoken: string;
  readonly orientation: 'vertical' | 'horizontal';
  /** Further keys; true when one was used. */
  readonly onKey?: (event: KeyboardEvent) => boolean;
  readonly children: ReactNode;
}

/** A drawing that points at a station: with the pointer over it, or with the arrow keys. */
export function StationSlider(props: StationSliderProps) {
  const { bench } = useWorkbench();
  const station = useBench((state) => state.station);
  const move = (event: PointerEvent<HTMLElement>): void => {
    const at = props.stationAt(event);
    if (at !== null) bench.pointAt(at);
  };
  return (
    <div
      className={props.className}
      role="slider"
      tabIndex={0}
      aria-label={props.label}
      aria-orientation={props.orientation}
      aria-valuemin={0}
      aria-valuemax={100}
      aria-valuenow={station}
      aria-valuetext={props.spoken}
      onPointerMove={move}
      onPointerDown={move}
      onKeyDown={(event) => {
        if (props.onKey?.(event)) event.preventDefault();
        else if (event.key in STEPS) bench.pointAt(Math.round(station) + STEPS[event.key]);
        else if (event.key === 'Home') bench.pointAt(0);
        else if (event.key === 'End') bench.pointAt(100);
        else return;
        event.preventDefault();
      }}
    >
      {props.children}
    </div>
  );
}
