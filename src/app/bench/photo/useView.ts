import { type RefObject, useEffect, useMemo, useRef, useState } from 'react';
import { type Size, useSize } from '../useSize.ts';

/** From the photograph's pixels to the screen's and back. */
export interface View {
  /** Screen pixels for one of the photograph. */
  readonly scale: number;
  readonly size: Size;
  toScreen(x: number, y: number): readonly [number, number];
  toPicture(x: number, y: number): readonly [number, number];
}

export interface Moves {
  /** Larger or smaller by a factor, about a place on the screen or its middle. */
  zoom(factor: number, about?: readonly [number, number]): void;
  /** By screen pixels. */
  pan(dx: number, dy: number): void;
  fit(): void;
  /** As large as it can be seen whole: what lies about these places, x y pairs, pixels. */
  frame(points: ArrayLike<number>): void;
}

interface Look {
  /** 1: the whole photograph fits. */
  readonly zoom: number;
  /** Place of the photograph in the middle of the view, pixels. */
  readonly x: number;
  readonly y: number;
}

const MOST = 60;
const RIM = 12;
/** What is framed has some of the picture round it, as a factor of its size. */
const ROUND = 1.15;

/**
 * A photograph of so many pixels in an element: wholly seen at first, then as one zooms and moves it. While it is `worked`
 * in, it stays as large as it was: a tool's own fields take room from the element, and what the hand aims at must not move.
 */
export function useView(
  element: RefObject<HTMLElement | null>,
  width: number,
  height: number,
  worked: boolean,
): { readonly view: View; readonly moves: Moves } {
  const size = useSize(element);
  const whole = useMemo<Look>(() => ({ zoom: 1, x: (width - 1) / 2, y: (height - 1) / 2 }), [width, height]);
  const [look, setLook] = useState(whole);
  useEffect(() => setLook(whole), [whole]);
  const fits = Math.max(1e-3, Math.min((size.width - RIM) / width, (size.height - RIM) / height));
  const kept = useRef(fits);
  const keptWidth = useRef(size.width);
  if (!worked || size.width !== keptWidth.current) kept.current = fits;
  keptWidth.current = size.width;
  const fitting = kept.current;
  const scale = look.zoom * fitting;
  const [midX, midY] = [size.width / 2, size.height / 2];
  const view: View = {
    scale,
    size,
    toScreen: (x, y) => [(x - look.x) * scale + midX, (y - look.y) * scale + midY],
    toPicture: (x, y) => [(x - midX) / scale + look.x, (y - midY) / scale + look.y],
  };
  const inside = ({ zoom, x, y }: Look): Look => ({
    zoom,
    x: Math.min(width, Math.max(0, x)),
    y: Math.min(height, Math.max(0, y)),
  });
  const moves: Moves = {
    zoom: (factor, [atX, atY] = [midX, midY]) =>
      setLook((before) => {
        const zoom = Math.min(MOST, Math.max(1, before.zoom * factor));
        if (zoom === 1) return whole;
        const gain = 1 / (before.zoom * fitting) - 1 / (zoom * fitting);
        return inside({ zoom, x: before.x + (atX - midX) * gain, y: before.y + (atY - midY) * gain });
      }),
    pan: (dx, dy) =>
      setLook((before) => {
        const at = before.zoom * fitting;
        return inside({ ...before, x: before.x - dx / at, y: before.y - dy / at });
      }),
    fit: () => {
      kept.current = fits;
      // A new one, so that it is drawn anew though nothing but its size has changed.
      setLook({ ...whole });
    },
    frame: (points) => {
      const [xs, ys] = [0, 1].map((axis) => Array.from(points).filter((_, i) => i % 2 === axis));
      const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
      const [across, down] = [right - left, bottom - top].map((side) => Math.max(1, ROUND * side));
      const large = Math.min((size.width - RIM) / across, (size.height - RIM) / down);
      const zoom = Math.min(MOST, Math.max(1, large / fitting));
      setLook(inside({ zoom, x: (left + right) / 2, y: (top + bottom) / 2 }));
    },
  };
  useWheel(element, moves);
  return { view, moves };
}

/** The wheel zooms about the pointer. React listens passively, and the page would scroll along. */
function useWheel(element: RefObject<HTMLElement | null>, moves: Moves): void {
  const latest = useRef(moves);
  latest.current = moves;
  useEffect(() => {
    const target = element.current;
    if (target === null) return;
    const turn = (event: WheelEvent): void => {
      event.preventDefault();
      const { left, top } = target.getBoundingClientRect();
      latest.current.zoom(Math.exp(-event.deltaY / 400), [event.clientX - left, event.clientY - top]);
    };
    target.addEventListener('wheel', turn, { passive: false });
    return () => target.removeEventListener('wheel', turn);
  }, [element]);
}
