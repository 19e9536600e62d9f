import { useRef, useState } from 'react';
import { useWorkbench } from '../../workbench.ts';
import { type Brush, type BrushTool, extended, toCorrection } from './brush.ts';
import type { Spot } from './places.ts';
import { correctionsOf, usePhotoTarget } from './target.ts';
import type { View } from './useView.ts';

/** A stroke while it is drawn, pixels of the photograph. */
export interface StrokeInHand {
  /** Where the brush is; null where it is not over the picture. */
  readonly at: Spot | null;
  /** Where it went since it was laid down; empty while it is not. */
  readonly line: readonly Spot[];
  /** Whether it is down by now: events may come faster than the page is drawn. */
  down(): boolean;
  lay(spot: Spot, finger: boolean): void;
  /** The brush goes on, painting while it is down. */
  draw(spot: Spot): void;
  /** Ends the stroke and keeps it as a correction. */
  lift(): void;
  /** Ends it and keeps nothing. */
  drop(): void;
  leave(): void;
}

export function useStroke(tool: BrushTool, brush: Brush, view: View): StrokeInHand {
  const { bench } = useWorkbench();
  const target = usePhotoTarget();
  const [at, setAt] = useState<Spot | null>(null);
  const [line, setLine] = useState<readonly Spot[]>([]);
  const stroke = useRef<readonly Spot[] | null>(null);
  const byFinger = useRef(false);
  const put = (places: readonly Spot[] | null): void => {
    stroke.current = places;
    setLine(places ?? []);
  };
  return {
    at,
    line,
    down: () => stroke.current !== null,
    lay(spot, finger) {
      byFinger.current = finger;
      setAt(spot);
      put([spot]);
    },
    draw(spot) {
      setAt(spot);
      const places = stroke.current;
      if (places === null) return;
      put(tool === 'move-line' ? [places[0], spot] : extended(places, spot, brush.radius, view.scale));
    },
    lift() {
      const correction = toCorrection(tool, stroke.current ?? [], brush, view.scale, byFinger.current);
      put(null);
      if (correction === undefined) return;
      const before = correctionsOf(bench.getState().history.present, target.view);
      target.change({ corrections: [...before, correction] });
    },
    drop: () => put(null),
    leave: () => stroke.current === null && setAt(null),
  };
}
