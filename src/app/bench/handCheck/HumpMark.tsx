import type { KeyboardEvent, PointerEvent } from 'react';
import type { HandGuess } from '../../state/handCheck.ts';
import { printNumber } from '../../words/values.ts';
import { useWorkbench } from '../../workbench.ts';
import type { Desk } from './desk.ts';

/** Of an arrow key, mm; with Shift ten times that. */
const STEP = 0.5;
const WAYS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

interface HumpMarkProps {
  readonly desk: Desk;
  readonly guess: HandGuess;
  readonly face: 'A' | 'B';
  readonly length: number;
}

/** The student's mark on the tallest hump: dragged, or moved with the arrow keys. */
export function HumpMark({ desk, guess, face, length }: HumpMarkProps) {
  const { bench } = useWorkbench();
  const { hump } = guess;
  if (hump === null || hump === 'none' || hump.face !== face) return null;
  const [px, py] = desk.toDrawing(hump.x, hump.y, face);
  const put = (x: number, y: number): void => {
    if (guess.asked) return;
    const [fx, fy] = desk.toFrame(x, y, face);
    bench.readByHand({ hump: { face, x: fx, y: Math.min(length, Math.max(0, fy)) } });
  };
  const drag = (event: PointerEvent<SVGGElement>): void => {
    if (event.buttons === 0) return;
    event.currentTarget.setPointerCapture(event.pointerId);
    const box = event.currentTarget.ownerSVGElement?.getBoundingClientRect();
    if (box !== undefined) put(event.clientX - box.left, event.clientY - box.top);
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    const way = WAYS[event.key];
    if (way === undefined) return;
    event.preventDefault();
    const step = STEP * desk.scale * (event.shiftKey ? 10 : 1);
    put(px + way[0] * step, py + way[1] * step);
  };
  return (
    <g
      className="handle hump-guess"
      role="slider"
      tabIndex={0}
      aria-label="Hump mark: arrow keys move it"
      aria-valuemin={0}
      aria-valuemax={100}
      aria-valuenow={Math.round((100 * hump.y) / length)}
      aria-valuetext={`station ${printNumber((100 * hump.y) / length, 0)}`}
      onPointerDown={drag}
      onPointerMove={drag}
      onKeyDown={onKeyDown}
    >
      <circle className="hump-guess-hold" cx={px} cy={py} r={14} />
      <path className="hump-guess-cross" d={`M${px - 9} ${py}h18M${px} ${py - 9}v18`} />
    </g>
  );
}
