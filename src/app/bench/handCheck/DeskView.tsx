import { useMemo, useRef, useState } from 'react';
import type { MeasuredPiece } from '../../../../workers/messages.ts';
import type { Pair } from '../../../record/schema.ts';
import type { HandGuess } from '../../state/handCheck.ts';
import { useWorkbench } from '../../workbench.ts';
import { useBlobUrl } from '../useBlobUrl.ts';
import { useSize } from '../useSize.ts';
import { Answers } from './Answers.tsx';
import { Calipers } from './Calipers.tsx';
import { type Desk, layDesk } from './desk.ts';
import { HumpMark } from './HumpMark.tsx';

interface DeskViewProps {
  readonly measured: MeasuredPiece;
  readonly guess: HandGuess;
}

/** The plan laid on a desk as it happens to lie, with calipers to put to it; nothing that was computed is drawn before it is asked for. */
export function DeskView({ measured, guess }: DeskViewProps) {
  const { record } = measured;
  const { bench } = useWorkbench();
  const box = useRef<HTMLDivElement>(null);
  const size = useSize(box);
  const [face, setFace] = useState<'A' | 'B'>('A');
  const desk = useMemo(() => layDesk(record, size), [record, size]);
  return (
    <section className="panel desk" aria-label="The plan with calipers">
      <div className="panel-tools">
        {(['A', 'B'] as const).map((one) => (
          <button
            key={one}
            type="button"
            className="button"
            aria-pressed={face === one}
            onClick={() => setFace(one)}
          >
            Face {one}
          </button>
        ))}
        <span className="desk-hint soft">
          {face === 'A' ? 'Calipers and hump' : 'Hump alone: the calipers lie on Face A'}
        </span>
        <button
          type="button"
          className="button panel-tools-end"
          disabled={guess.asked}
          onClick={() => bench.readByHand({ hump: { face, x: 0, y: record.frame.length / 2 } })}
        >
          Put the hump mark on Face {face}
        </button>
      </div>
      <div className="panel-fill" ref={box}>
        {desk && (
          // biome-ignore lint/a11y/noSvgWithoutTitle: a title would hang over it as a tip; its handles have names
          <svg width={desk.width} height={desk.height}>
            <Piece desk={desk} measured={measured} face={face} />
            {face === 'A' && <Calipers desk={desk} guess={guess} />}
            <HumpMark desk={desk} guess={guess} face={face} length={record.frame.length} />
            {guess.asked && <Answers desk={desk} record={record} face={face} />}
          </svg>
        )}
      </div>
    </section>
  );
}

/** The lit face, turned as it lies, and its outline. */
function Piece({ desk, measured, face }: { desk: Desk; measured: MeasuredPiece; face: 'A' | 'B' }) {
  const relief = face === 'A' ? measured.reliefA : measured.reliefB;
  const url = useBlobUrl(relief?.image);
  const { record } = measured;
  const { scale, middle, lay } = desk;
  const spots = (ring: readonly Pair[]): string =>
    ring
      .map(([x, y]) =>
        desk
          .toDrawing(x, y, face)
          .map((at) => at.toFixed(1))
          .join(' '),
      )
      .join('L');
  const rings = [record.outline.outer, ...record.outline.inner].map((ring) => `M${spots(ring)}Z`).join('');
  return (
    <g>
      {url !== null && relief && (
        <image
          href={url}
          transform={`translate(${middle[0]} ${middle[1]}) rotate(${-lay}) scale(${scale})`}
          x={relief.x}
          y={record.frame.length / 2 - (relief.y + relief.height)}
          width={relief.width}
          height={relief.height}
          preserveAspectRatio="none"
        />
      )}
      <path className="plan-outline" d={rings} />
    </g>
  );
}
