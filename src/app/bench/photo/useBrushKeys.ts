import { type RefObject, useEffect, useRef } from 'react';
import { type Brush, resized } from './brush.ts';
import type { Spot } from './places.ts';
import type { StrokeInHand } from './useStroke.ts';
import type { View } from './useView.ts';

/** Steps of the arrow keys, pixels of the screen; with shift eight times as far. */
const STEPS: Readonly<Record<string, Spot>> = {
  ArrowLeft: [-2, 0],
  ArrowRight: [2, 0],
  ArrowUp: [0, -2],
  ArrowDown: [0, 2],
};
const FAR = 8;
const SIZES: Readonly<Record<string, number>> = { '[': 1 / 1.25, ']': 1.25 };

/** A brush by the keys of an element: arrows move it, Space lays it down and lifts it, brackets size it, Esc drops the stroke. */
export function useBrushKeys(
  box: RefObject<HTMLElement | null>,
  stroke: StrokeInHand,
  view: View,
  brush: Brush,
  onBrush: (brush: Brush) => void,
): void {
  useKeys(box, ({ key, shiftKey, repeat, ctrlKey, metaKey, altKey }) => {
    if (ctrlKey || metaKey || altKey) return false;
    const { width, height } = view.size;
    const here = stroke.at ?? view.toPicture(width / 2, height / 2);
    if (key in STEPS) {
      const far = shiftKey ? FAR : 1;
      const [x, y] = view.toScreen(...here);
      const [right, down] = [x + far * STEPS[key][0], y + far * STEPS[key][1]];
      stroke.draw(view.toPicture(Math.min(width, Math.max(0, right)), Math.min(height, Math.max(0, down))));
    } else if (key === ' ') {
      if (repeat) return true;
      if (stroke.down()) stroke.lift();
      else stroke.lay(here, false);
    } else if (key in SIZES) onBrush({ ...brush, radius: resized(brush.radius, SIZES[key]) });
    else if (key === 'Escape' && stroke.down()) stroke.drop();
    else return false;
    return true;
  });
}

/** Keys in an element, before its other keys; `heed` says whether a key was meant for the brush. */
function useKeys(box: RefObject<HTMLElement | null>, heed: (event: KeyboardEvent) => boolean): void {
  const latest = useRef(heed);
  latest.current = heed;
  useEffect(() => {
    const element = box.current;
    if (element === null) return;
    const listen = (event: KeyboardEvent): void => {
      if (event.target !== element || !latest.current(event)) return;
      event.preventDefault();
      event.stopPropagation();
    };
    element.addEventListener('keydown', listen);
    return () => element.removeEventListener('keydown', listen);
  }, [box]);
}
