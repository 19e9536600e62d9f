import type { PointerEvent, RefObject } from 'react';
import { BRUSHES, type Brush, type BrushTool } from './brush.ts';
import type { Spot } from './places.ts';
import { Stroke } from './Strokes.tsx';
import { useBrushKeys } from './useBrushKeys.ts';
import { useFingers } from './useFingers.ts';
import { useStroke } from './useStroke.ts';
import type { Moves, View } from './useView.ts';

interface BrushLayerProps {
  readonly tool: BrushTool;
  readonly brush: Brush;
  readonly onBrush: (brush: Brush) => void;
  readonly view: View;
  readonly moves: Moves;
  /** What holds the focus while the keyboard paints. */
  readonly box: RefObject<HTMLElement | null>;
}

/**
 * A brush over the photograph: strokes are drawn with mouse, pen or finger, or with arrow keys and Space. Two fingers
 * move and zoom the picture, as the wheel and the middle button do.
 */
export function BrushLayer({ tool, brush, onBrush, view, moves, box }: BrushLayerProps) {
  const stroke = useStroke(tool, brush, view);
  const fingers = useFingers(moves);
  useBrushKeys(box, stroke, view, brush, onBrush);
  const press = (event: PointerEvent): void => {
    event.stopPropagation();
    event.currentTarget.setPointerCapture(event.pointerId);
    if (fingers.press(event)) stroke.drop();
    else if (event.button === 0) stroke.lay(spotUnder(event, view), event.pointerType === 'touch');
  };
  const move = (event: PointerEvent): void => {
    event.stopPropagation();
    if (!fingers.move(event)) stroke.draw(spotUnder(event, view));
  };
  const release = (event: PointerEvent): void => {
    event.stopPropagation();
    if (fingers.release(event)) return;
    stroke.draw(spotUnder(event, view));
    stroke.lift();
    if (event.pointerType === 'touch') stroke.leave();
  };
  const { at, line } = stroke;
  return (
    <g className="brush-layer" data-kind={BRUSHES[tool]} data-down={line.length > 0}>
      <rect
        className="brush-ground"
        width={view.size.width}
        height={view.size.height}
        onPointerDown={press}
        onPointerMove={move}
        onPointerUp={release}
        onPointerCancel={(event) => {
          fingers.release(event);
          stroke.drop();
        }}
        onPointerLeave={stroke.leave}
      />
      {line.length > 0 && <Stroke kind={BRUSHES[tool]} line={line} radius={brush.radius} view={view} />}
      {at !== null && <Cursor at={at} radius={brush.radius} view={view} />}
    </g>
  );
}

function spotUnder({ currentTarget, clientX, clientY }: PointerEvent, view: View): Spot {
  const { left, top } = currentTarget.getBoundingClientRect();
  return view.toPicture(clientX - left, clientY - top);
}

function Cursor({ at, radius, view }: { at: Spot; radius: number; view: View }) {
  const [cx, cy] = view.toScreen(...at);
  const r = Math.max(1, radius * view.scale);
  return (
    <g className="brush-cursor">
      <circle className="photo-seam" cx={cx} cy={cy} r={r} />
      <circle className="brush-ring" cx={cx} cy={cy} r={r} />
      <path className="brush-ring" d={`M${cx - 3} ${cy}h6M${cx} ${cy - 3}v6`} />
    </g>
  );
}
