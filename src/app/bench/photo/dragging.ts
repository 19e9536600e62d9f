import type { PointerEvent } from 'react';
import type { Spot } from './places.ts';
import type { View } from './useView.ts';

/** Steps of the arrow keys, pixels of the photograph; with shift ten times as far. */
export const STEPS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-0.5, 0],
  ArrowRight: [0.5, 0],
  ArrowUp: [0, -0.5],
  ArrowDown: [0, 0.5],
};

/** What makes a mark on the photograph follow the pointer that took hold of it, and nothing beneath it. */
export function dragging(view: View, onMove: (spot: Spot) => void, onEnd: () => void) {
  return {
    onPointerDown: (event: PointerEvent<Element>): void => {
      event.stopPropagation();
      event.currentTarget.setPointerCapture(event.pointerId);
    },
    onPointerMove: (event: PointerEvent<Element>): void => {
      if (!event.currentTarget.hasPointerCapture(event.pointerId)) return;
      event.stopPropagation();
      const box = event.currentTarget.closest('svg')?.getBoundingClientRect();
      onMove(view.toPicture(event.clientX - (box?.left ?? 0), event.clientY - (box?.top ?? 0)));
    },
    onPointerUp: (event: PointerEvent<Element>): void => {
      event.stopPropagation();
      onEnd();
    },
  };
}
