import { useEffect, useId, useState } from 'react';
import type { PhotoScale } from '../../../intake/photoTypes.ts';
import { NumberBox } from '../../frame/NumberBox.tsx';
import { useBench, useWorkbench } from '../../workbench.ts';
import { type Brush, type BrushTool, isBrush } from './brush.ts';
import { correctionsOf, usePhotoTarget } from './target.ts';

const TOOLS: readonly (readonly [BrushTool, string, string])[] = [
  ['paint-in', 'Paint in', 'What is painted belongs to the piece.'],
  ['paint-out', 'Paint out', 'What is painted does not belong to the piece.'],
  ['move-line', 'Move the line', 'Drag a stretch of the outline to where it belongs.'],
];

interface OutlineToolsProps {
  readonly brush: Brush;
  readonly onBrush: (brush: Brush) => void;
  readonly scale: PhotoScale | null;
  /** A tool was taken up: the photograph takes the focus. */
  readonly onTaken: () => void;
}

/** Correcting the outline by hand: what the brush does, how large it is, and the way back. */
export function OutlineTools({ brush, onBrush, scale, onTaken }: OutlineToolsProps) {
  const { bench } = useWorkbench();
  const tool = useBench((state) => state.tool);
  const { view, change } = usePhotoTarget();
  const count = useBench(({ history }) => correctionsOf(history.present, view).length);
  const name = useId();
  return (
    <section className="panel-tools outline-tools" aria-labelledby={name}>
      <span id={name} className="soft">
        Outline
      </span>
      {TOOLS.map(([id, label, title]) => (
        <button
          key={id}
          type="button"
          className="button"
          title={title}
          aria-pressed={tool === id}
          onClick={() => {
            bench.takeUp(tool === id ? null : id);
            if (tool !== id) onTaken();
          }}
        >
          {label}
        </button>
      ))}
      {/* There from the first, so that the picture keeps its place under the brush when the first stroke is done. */}
      <span className="soft">
        {count === 0 ? 'No corrections' : count === 1 ? '1 correction' : `${count} corrections`}
      </span>
      <button
        type="button"
        className="button"
        title="The outline as the program traced it; Undo brings the corrections back."
        disabled={count === 0}
        onClick={() => change({ corrections: undefined })}
      >
        As traced
      </button>
      {isBrush(tool) && (
        <BrushFields brush={brush} onBrush={onBrush} scale={scale} moving={tool === 'move-line'} />
      )}
    </section>
  );
}

interface BrushFieldsProps extends Pick<OutlineToolsProps, 'brush' | 'onBrush' | 'scale'> {
  readonly moving: boolean;
}

function BrushFields({ brush, onBrush, scale, moving }: BrushFieldsProps) {
  const [unit, setUnit] = useState<'mm' | 'px'>(scale === null ? 'px' : 'mm');
  const missing = scale === null;
  useEffect(() => {
    if (missing) setUnit('px');
  }, [missing]);
  const perUnit = unit === 'mm' && scale !== null ? scale.pxPerMm : 1;
  return (
    <div className="brush-fields">
      <NumberBox
        above={0}
        label={moving ? 'Length moved' : 'Breadth'}
        value={Math.round((200 * brush.radius) / perUnit) / 100}
        onSettled={(breadth) => onBrush({ ...brush, radius: (breadth * perUnit) / 2 })}
      />
      <select
        aria-label="Unit of the brush"
        value={unit}
        onChange={({ currentTarget }) => setUnit(currentTarget.value as 'mm' | 'px')}
      >
        <option value="mm" disabled={missing}>
          mm
        </option>
        <option value="px">pixels</option>
      </select>
      <label
        className="check-field"
        title="Where the picture shows an edge close to the brush's, the outline takes that."
      >
        <input
          type="checkbox"
          checked={!brush.exact}
          onChange={({ currentTarget }) => onBrush({ ...brush, exact: !currentTarget.checked })}
        />
        <span>Take edges near by</span>
      </label>
    </div>
  );
}
