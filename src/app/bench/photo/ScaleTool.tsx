import { useEffect, useState } from 'react';
import type { ScaleSettings } from '../../../intake/photoTypes.ts';
import { MatSheets } from '../../frame/MatSheets.tsx';
import { NumberBox } from '../../frame/NumberBox.tsx';
import { VIEW_WORDS } from '../../words/viewWords.ts';
import { useBench, useWorkbench } from '../../workbench.ts';
import { HistoryButtons } from '../Controls.tsx';
import { SameScaleButton } from './SameScaleButton.tsx';
import { scaleWords } from './scaleWords.ts';
import { usePhotoTarget } from './target.ts';

/** `same`: a further photograph has its scale as Face A has. */
type Method = ScaleSettings['method'] | 'same';

const METHODS: readonly (readonly [Method, string])[] = [
  ['auto', 'Found by the program'],
  ['mat', 'Scale mat'],
  ['bar', 'Scale bar in the picture'],
  ['points', 'Two points'],
  ['typed', 'Pixels in a millimetre'],
  ['tag', 'Resolution in the file'],
];

/** The ways that are always open. */
const BY_HAND: readonly (readonly [Method, string])[] = [
  ['bar', 'There is a bar in the picture'],
  ['points', 'I know a length in it'],
  ['typed', 'I know the pixels in a millimetre'],
];

const AS_FACE_A = ['same', 'As for Face A'] as const;

interface ScaleToolProps {
  /** Places that were clicked and wait for their length. */
  readonly points: readonly number[];
  readonly onPoints: (points: readonly number[]) => void;
}

/** How pixels become millimetres: what was found, and every way to tell it. */
export function ScaleTool({ points, onPoints }: ScaleToolProps) {
  const { view, photograph, told, change } = usePhotoTarget();
  const measured = useBench((state) => state.measured);
  const { bench } = useWorkbench();
  /** A way was asked for with its button: what is to be told comes next. */
  const [asked, setAsked] = useState(false);
  const [method, setMethod] = useState<Method>(told.method ?? 'same');
  // biome-ignore lint/correctness/useExhaustiveDependencies: another photograph has a way of its own
  useEffect(() => setMethod(told.method ?? 'same'), [told.method, view]);
  useEffect(() => {
    if (points.length > 0) setMethod('points');
  }, [points]);
  const { scale } = photograph;
  // What was asked for was told: fields that come again, by Undo for example, must not draw the keys to themselves.
  useEffect(() => {
    if (scale !== null) setAsked(false);
  }, [scale]);
  const pick = (picked: Method): void => {
    setMethod(picked);
    if (picked !== 'points') {
      // Places that were clicked and are not to count would hide the ends of what does.
      if (points.length > 0) onPoints([]);
      if (bench.getState().tool === 'scale') bench.takeUp(null);
    }
    // The others say nothing until their number is told, which may have been before.
    if (picked === 'bar' && told.block !== undefined) change({ method: picked, length: undefined });
    if (picked === 'points' && told.points !== undefined && told.length !== undefined) {
      change({ method: picked, block: undefined });
    }
    if (picked === 'typed' && told.pxPerMm !== undefined) change({ method: picked });
    if (picked === 'same') change(NO_SCALE);
    if (picked === 'auto') change({ method: picked, block: undefined, length: undefined });
    if (picked === 'mat' || picked === 'tag') change({ method: picked });
  };
  return (
    <section className="panel scale-tool" aria-labelledby="scale-title">
      {measured === null && <WhatIsAmiss />}
      <h2 id="scale-title">{view === 'A' ? 'Scale' : `Scale, ${VIEW_WORDS[view]}`}</h2>
      {scale === null && (method === 'auto' || method === 'same') && (
        <div className="scale-ways">
          {BY_HAND.map(([id, name]) => (
            <button
              key={id}
              type="button"
              className="button"
              onClick={() => {
                setAsked(true);
                pick(id);
                if (id === 'points') bench.takeUp('scale');
              }}
            >
              {name}
            </button>
          ))}
        </div>
      )}
      <div className="scale-fields">
        <label className="number-field">
          <span>Scale from</span>
          <select
            value={method}
            onChange={({ currentTarget }) => {
              setAsked(false);
              pick(currentTarget.value as Method);
            }}
          >
            {[...(view === 'A' ? [] : [AS_FACE_A]), ...METHODS].map(([id, name]) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
          </select>
        </label>
        {(method === 'mat' || (method === 'auto' && scale?.evidence.kind === 'mat')) && (
          <NumberBox
            above={0}
            label="Mat’s 100 mm bar measures, mm"
            value={told.printedBar}
            onSettled={(printedBar) => change({ printedBar })}
            onEmptied={() => change({ printedBar: undefined })}
          />
        )}
        {method === 'bar' && <BarFields key={view} autoFocus={asked} />}
        {method === 'points' && <PointFields points={points} onPoints={onPoints} />}
        {method === 'typed' && (
          <NumberBox
            above={0}
            label="Pixels in a millimetre"
            value={told.pxPerMm}
            autoFocus={asked}
            onSettled={(pxPerMm) => change({ method, pxPerMm })}
          />
        )}
        {view === 'A' && scale?.camera !== undefined && (
          <NumberBox
            above={0}
            label="Thickness of the piece, mm"
            value={told.thickness}
            onSettled={(thickness) => change({ thickness })}
            onEmptied={() => change({ thickness: undefined })}
          />
        )}
        {scale !== null && <p className="scale-words">{scaleWords(scale)}</p>}
        {scale !== null && <SameScaleButton key={`same-${view}`} />}
      </div>
      <p className="soft">
        {method === 'points' && told.points === undefined && points.length < 4
          ? 'Two places in the picture whose distance you know: the ends of a ruler, or of a piece that was measured.'
          : HINTS[method]}
        {view === 'A' &&
          scale?.camera !== undefined &&
          ' The thickness, if known, makes the parallax that is taken out truer.'}
      </p>
      {scale === null && (method === 'auto' || method === 'mat') && <MatSheets />}
    </section>
  );
}

const NO_SCALE = {
  method: undefined,
  printedBar: undefined,
  block: undefined,
  points: undefined,
  length: undefined,
  pxPerMm: undefined,
};

const HINTS: Readonly<Record<Method, string>> = {
  same: 'Found in this picture in the way that serves for Face A.',
  auto: 'A scale mat, else the resolution that a flatbed wrote into the file.',
  mat: 'At least four markers of the mat must be seen whole.',
  bar: 'Blocks in turn black and white; its ends in the picture can be dragged.',
  points: 'The two points in the picture can be dragged, or moved with the arrow keys.',
  typed: 'As a reproduction stand or a microscope is calibrated.',
  tag: 'True for flatbed scans only.',
};

/** Why there are no numbers yet, and the way on. */
function WhatIsAmiss() {
  const { bench } = useWorkbench();
  const phase = useBench((state) => state.phase);
  const fault = useBench((state) => state.fault);
  const touched = useBench(({ history }) => history.past.length + history.future.length > 0);
  if (phase === 'cancelled') {
    return (
      <div className="scale-amiss">
        <p>Measuring was stopped before it was done.</p>
        <button type="button" className="button button-main" onClick={() => bench.again()}>
          Measure again
        </button>
      </div>
    );
  }
  if (phase !== 'failed' || fault === null) return null;
  return (
    <div className="scale-amiss" role="alert">
      <p>{fault.what}</p>
      {touched && <HistoryButtons />}
    </div>
  );
}

function BarFields({ autoFocus }: { autoFocus: boolean }) {
  const { told, change } = usePhotoTarget();
  // A length that was told of two points is not the bar's.
  const photo = { block: told.block, length: told.method === 'bar' ? told.length : undefined };
  const [whole, setWhole] = useState(photo.length !== undefined && photo.block === undefined);
  const [choosing, setChoosing] = useState(false);
  const tell = (length: number): void => {
    change(
      whole
        ? { method: 'bar', length, block: undefined }
        : { method: 'bar', block: length, length: undefined },
    );
  };
  return (
    <>
      <label className="number-field">
        <span>Known of it</span>
        <select
          value={whole ? 'whole' : 'block'}
          onChange={({ currentTarget }) => {
            setChoosing(true);
            setWhole(currentTarget.value === 'whole');
          }}
        >
          <option value="block">one block</option>
          <option value="whole">the whole bar</option>
        </select>
      </label>
      <NumberBox
        above={0}
        key={String(whole)}
        label={whole ? 'Length of the bar, mm' : 'Length of one block, mm'}
        value={whole ? photo.length : photo.block}
        autoFocus={autoFocus && !choosing}
        onSettled={tell}
      />
    </>
  );
}

function PointFields({ points, onPoints }: ScaleToolProps) {
  const { bench } = useWorkbench();
  const { told: photo, change } = usePhotoTarget();
  const clicking = useBench((state) => state.tool === 'scale');
  const tell = (length: number): void => {
    const [x0, y0, x1, y1] = points.length === 4 ? points : (photo.points ?? []);
    if (y1 === undefined) return;
    change({ method: 'points', points: [x0, y0, x1, y1], length });
    onPoints([]);
  };
  return (
    <>
      <button
        type="button"
        className="button"
        aria-pressed={clicking}
        onClick={() => {
          onPoints([]);
          bench.takeUp(clicking ? null : 'scale');
        }}
      >
        {photo.points === undefined ? 'Click two points' : 'Click two others'}
      </button>
      <NumberBox
        above={0}
        label="Length between them, mm"
        value={points.length === 4 ? undefined : photo.points && photo.length}
        autoFocus={points.length === 4}
        onSettled={tell}
      />
    </>
  );
}
