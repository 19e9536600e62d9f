import { useFrame, useThree } from '@react-three/fiber';
import { type KeyboardEvent, type PointerEvent, type RefObject, useRef } from 'react';
import { Vector3 } from 'three';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { printNumber } from '../../words/values.ts';
import { useBench, useWorkbench } from '../../workbench.ts';
import type { Extent } from './views.ts';

/** Where the grip is on the canvas, and what a millimetre of the length axis is there: px, y down. */
export interface GripPlace {
  x: number;
  y: number;
  alongX: number;
  alongY: number;
}

/** An axis seen end-on can't be dragged along: px for a millimetre, below which it counts as that. */
const END_ON = 0.15;

/** Half of the pane's width, as a share of the piece's. */
const PANE = 0.56;

/** The knob keeps so far from the rim of the canvas, and its middle so far from the corner in which the lamp lies, px. */
const INSET = 16;
const LAMP_ROOM = 76;

interface TrackerProps {
  readonly place: RefObject<GripPlace>;
  readonly grip: RefObject<HTMLDivElement | null>;
  readonly extent: Extent;
  readonly length: number;
}

/** Inside the scene: keeps the grip at the rim of the section plane, whichever way the piece is turned. */
export function GripTracker({ place, grip, extent, length }: TrackerProps) {
  const station = useBench((state) => state.station);
  const size = useThree((state) => state.size);
  useFrame(({ camera }) => {
    const at = (x: number, y: number, z = 0): readonly [number, number] => {
      const seen = new Vector3(x, y, z).project(camera);
      return [((seen.x + 1) / 2) * size.width, ((1 - seen.y) / 2) * size.height];
    };
    const y = (station / 100 - 0.5) * length;
    const within = ([x, y]: readonly [number, number]): readonly [number, number] => [
      Math.min(size.width - INSET, Math.max(INSET, x)),
      Math.min(size.height - INSET, Math.max(INSET, y)),
    ];
    const ends = [
      at(PANE * extent.x, y),
      at(-PANE * extent.x, y),
      at(0, y, PANE * extent.z),
      at(0, y, -PANE * extent.z),
    ].map(within);
    // The end of the pane that is seen farthest to the right, where the knob hides nothing; in the lower corner lies the lamp.
    const free = ends.filter(([x, y]) => x < size.width - LAMP_ROOM || y < size.height - LAMP_ROOM);
    const rim = (free.length > 0 ? free : ends).reduce((best, end) => (end[0] > best[0] ? end : best));
    const [base, tip] = [at(0, -length / 2), at(0, length / 2)];
    place.current = {
      x: rim[0],
      y: rim[1],
      alongX: (tip[0] - base[0]) / length,
      alongY: (tip[1] - base[1]) / length,
    };
    grip.current?.style.setProperty('transform', `translate(${place.current.x}px, ${place.current.y}px)`);
  });
  return null;
}

const STEPS: Readonly<Record<string, number>> = {
  ArrowUp: 1,
  ArrowRight: 1,
  ArrowDown: -1,
  ArrowLeft: -1,
  PageUp: 10,
  PageDown: -10,
};

interface PlaneGripProps {
  readonly place: RefObject<GripPlace>;
  readonly grip: RefObject<HTMLDivElement | null>;
  readonly record: SpecimenRecord;
}

/** Over the scene: the knob by which the section plane is drawn along the length. */
export function PlaneGrip({ place, grip, record }: PlaneGripProps) {
  const { bench } = useWorkbench();
  const station = useBench((state) => state.station);
  const from = useRef<{ x: number; y: number; station: number } | null>(null);
  const drag = (event: PointerEvent): void => {
    if (from.current === null) return;
    const { alongX, alongY } = place.current;
    const square = alongX * alongX + alongY * alongY;
    if (square < END_ON * END_ON) return;
    const mm =
      ((event.clientX - from.current.x) * alongX + (event.clientY - from.current.y) * alongY) / square;
    bench.pointAt(Math.round(from.current.station + (100 * mm) / record.frame.length));
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    const step = STEPS[event.key];
    if (step !== undefined) bench.pointAt(Math.round(station) + step);
    else if (event.key === 'Home') bench.pointAt(0);
    else if (event.key === 'End') bench.pointAt(100);
    else return;
    // Arrow keys turn the piece otherwise.
    event.stopPropagation();
    event.preventDefault();
  };
  return (
    <div
      ref={grip}
      className="plane-grip"
      role="slider"
      tabIndex={0}
      aria-label="Section plane along the length"
      aria-orientation="vertical"
      aria-valuemin={0}
      aria-valuemax={100}
      aria-valuenow={station}
      aria-valuetext={`station ${printNumber(station, 0)} percent`}
      title="Drag the section plane along the length"
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        from.current = { x: event.clientX, y: event.clientY, station };
        event.stopPropagation();
      }}
      onPointerMove={drag}
      onPointerUp={() => {
        from.current = null;
      }}
      onPointerCancel={() => {
        from.current = null;
      }}
      onKeyDown={onKeyDown}
    />
  );
}
