import type { KeyboardEvent, PointerEvent, ReactNode } from 'react';

interface HandleProps {
  readonly label: string;
  readonly value: number;
  readonly spoken: string;
  readonly least: number;
  readonly most: number;
  /** Of an arrow key; Page up and down, and Shift, take ten of them. */
  readonly step: number;
  readonly onMove: (value: number) => void;
  /** The value under the pointer, px in the drawing. */
  readonly valueAt: (x: number, y: number) => number;
  readonly className: string;
  readonly children: ReactNode;
}

/** So many steps an arrow key takes with Shift. */
const FAR = 10;
const KEYS: Readonly<Record<string, number>> = {
  ArrowUp: 1,
  ArrowRight: 1,
  ArrowDown: -1,
  ArrowLeft: -1,
  PageUp: 10,
  PageDown: -10,
};

/** A part of the drawing that is dragged, or moved with the arrow keys. */
export function Handle(props: HandleProps) {
  const { value, least, most, step, onMove } = props;
  const move = (asked: number): void => onMove(Math.min(most, Math.max(least, asked)));
  const drag = (event: PointerEvent<SVGGElement>): void => {
    if (event.buttons === 0) return;
    event.currentTarget.setPointerCapture(event.pointerId);
    const box = event.currentTarget.ownerSVGElement?.getBoundingClientRect();
    if (box !== undefined) move(props.valueAt(event.clientX - box.left, event.clientY - box.top));
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    const steps = KEYS[event.key];
    if (steps === undefined) return;
    event.preventDefault();
    const far = event.shiftKey && event.key.startsWith('Arrow') ? FAR : 1;
    move(Math.round((value + far * steps * step) / step) * step);
  };
  return (
    <g
      className={`handle ${props.className}`}
      role="slider"
      tabIndex={0}
      aria-label={props.label}
      aria-valuemin={Math.round(least)}
      aria-valuemax={Math.round(most)}
      aria-valuenow={Math.round(10 * value) / 10}
      aria-valuetext={props.spoken}
      onPointerDown={drag}
      onPointerMove={drag}
      onKeyDown={onKeyDown}
    >
      {props.children}
    </g>
  );
}
