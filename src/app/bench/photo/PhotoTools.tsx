import { useState } from 'react';
import type { Candidate } from '../../../../workers/messages.ts';
import { type AllSettings, DEFAULT_SETTINGS } from '../../../record/settings.ts';
import { DEFAULT_PHOTO_SETTINGS } from '../../../trace/settings.ts';
import { sameBytes } from '../../keep/sameBytes.ts';
import type { Piece } from '../../state/pieces.ts';
import { useBench, useWorkbench } from '../../workbench.ts';
import { ShownNote } from '../show/ShownNote.tsx';
import { usePhotoTarget } from './target.ts';
import type { Moves } from './useView.ts';
import { ViewControls } from './ViewControls.tsx';

const KINDS: Readonly<Record<Candidate['kind'], string>> = {
  piece: 'piece',
  card: 'card or label',
  cut: 'runs out of the picture',
};

/** Over the photograph: how near one looks (where its `moves` are given), and which of the things in it is measured. */
export function PhotoTools({ moves }: { moves?: Moves }) {
  const measured = useBench((state) => state.measured);
  const { view, photograph, chosen, change } = usePhotoTarget();
  const { candidates } = photograph;
  return (
    <div className="panel-tools">
      {moves && <ZoomButtons moves={moves} ring={candidates[chosen - 1]?.ring} />}
      {candidates.length > 1 && (
        <label>
          <span>Measured</span>
          <select
            value={chosen}
            onChange={({ currentTarget }) =>
              change({ piece: Number(currentTarget.value), corrections: undefined })
            }
          >
            {chosen === 0 && <option value={0}>none</option>}
            {candidates.map(({ kind }, k) => (
              // biome-ignore lint/suspicious/noArrayIndexKey: candidates have no name but their number
              <option key={k} value={k + 1}>
                {k + 1}, {KINDS[kind]}
              </option>
            ))}
          </select>
        </label>
      )}
      <ViewControls />
      {view === 'A' && chosen > 0 && <OthersButton candidates={candidates} chosen={chosen} />}
      {view === 'A' && measured && <ShownNote record={measured.record} />}
    </div>
  );
}

function ZoomButtons({ moves, ring }: { moves: Moves; ring: Float32Array | undefined }) {
  return (
    <>
      <button type="button" className="button" aria-label="Zoom out" onClick={() => moves.zoom(1 / 1.6)}>
        −
      </button>
      <button type="button" className="button" aria-label="Zoom in" onClick={() => moves.zoom(1.6)}>
        +
      </button>
      <button type="button" className="button" onClick={moves.fit}>
        Whole picture
      </button>
      {ring !== undefined && (
        <button
          type="button"
          className="button"
          title="As large as the whole piece can be seen"
          onClick={() => moves.frame(ring)}
        >
          The piece
        </button>
      )}
    </>
  );
}

/** The other pieces of the picture, each into the drawer as one of its own, under the same scale. */
function OthersButton({ candidates, chosen }: { candidates: readonly Candidate[]; chosen: number }) {
  const { bench, pieces } = useWorkbench();
  const [said, setSaid] = useState('');
  const [laying, setLaying] = useState(false);
  const others = candidates.flatMap(({ kind }, k) => (kind === 'piece' && k + 1 !== chosen ? [k + 1] : []));
  if (others.length === 0) return null;
  const lay = async (): Promise<void> => {
    const { piece, history } = bench.getState();
    if (piece === null) return;
    const { present } = history;
    const photo = { ...DEFAULT_PHOTO_SETTINGS, ...present.photo };
    // What was decided of this piece's axis, thickness and outline, and its further photographs, are not meant for the others.
    const { thickness: _, corrections: __, views: ___, ...scale } = photo;
    const settings = (number: number): AllSettings => ({
      ...DEFAULT_SETTINGS,
      photo: { ...scale, piece: number },
    });
    setLaying(true);
    const file = await piece.open();
    const there = await numbersOf(file, piece.fileName, pieces.getState().pieces);
    const missing = others.filter((number) => !there.has(number));
    pieces.repeat(
      piece.id,
      file,
      missing.map((number) => [`number ${number}`, settings(number)]),
    );
    setSaid(saidOf(missing.length, others.length - missing.length));
    setLaying(false);
  };
  return (
    <>
      <button
        type="button"
        className="button"
        title="Under the same scale, with a card of its own in the drawer"
        disabled={laying}
        onClick={() => void lay()}
      >
        {others.length === 1 ? 'Keep the other piece too' : `Keep the ${others.length} other pieces too`}
      </button>
      <span className="soft" role="status">
        {said}
      </span>
    </>
  );
}

/** Which things of a picture have a piece of their own in the drawer, by their numbers. */
async function numbersOf(
  picture: Blob,
  fileName: string,
  drawer: readonly Piece[],
): Promise<ReadonlySet<number>> {
  const numbers = new Set<number>();
  for (const piece of drawer) {
    const number = piece.history.present.photo?.piece;
    if (piece.fileName !== fileName || number === undefined) continue;
    const same = await piece.open().then(
      (file) => sameBytes(file, picture),
      () => false,
    );
    if (same) numbers.add(number);
  }
  return numbers;
}

function saidOf(laid: number, there: number): string {
  const now = laid === 1 ? 'It lies in the drawer now.' : `${laid} more lie in the drawer now.`;
  const before =
    there === 1
      ? 'The other one lay there already.'
      : `${laid > 0 ? `${there} others` : `The ${there} others`} lay there already.`;
  return [laid > 0 ? now : '', there > 0 ? before : ''].join(' ').trim();
}
