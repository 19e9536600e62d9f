import { type PointerEvent, useRef } from 'react';
import type { Spot } from './places.ts';
import type { Moves } from './useView.ts';

/** Whether a press, move or release is about the picture and not what one finger does in it: two fingers, or another button. */
export function useFingers(moves: Moves) {
  const held = useRef(new Map<number, Spot>());
  const moving = useRef(false);
  return {
    press({ pointerId, clientX, clientY, button }: PointerEvent): boolean {
      held.current.set(pointerId, [clientX, clientY]);
      moving.current ||= held.current.size > 1 || button === 1;
      return moving.current;
    },
    move({ pointerId, clientX, clientY, currentTarget }: PointerEvent): boolean {
      const before = held.current.get(pointerId);
      if (before === undefined) return moving.current;
      const others = [...held.current].filter(([id]) => id !== pointerId).map(([, spot]) => spot);
      // Also of a finger that is alone yet: where it is counts once a second one comes.
      held.current.set(pointerId, [clientX, clientY]);
      if (!moving.current) return false;
      const share = 1 / (others.length + 1);
      moves.pan(share * (clientX - before[0]), share * (clientY - before[1]));
      const [other] = others;
      if (other === undefined) return true;
      const [was, is] = [before, [clientX, clientY]].map(([x, y]) => Math.hypot(x - other[0], y - other[1]));
      const { left, top } = currentTarget.getBoundingClientRect();
      const about = [(clientX + other[0]) / 2 - left, (clientY + other[1]) / 2 - top] as const;
      if (was > 0 && is > 0) moves.zoom(is / was, about);
      return true;
    },
    release({ pointerId }: PointerEvent): boolean {
      const was = moving.current;
      held.current.delete(pointerId);
      if (held.current.size === 0) moving.current = false;
      return was;
    },
  };
}
