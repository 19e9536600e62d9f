import type { Candidate } from '../../../../workers/messages.ts';
import type { Photograph } from '../../state/bench.ts';
import { useBench, useWorkbench } from '../../workbench.ts';
import { ShownNote } from '../show/ShownNote.tsx';
import type { Moves } from './useView.ts';

const KINDS: Readonly<Record<Candidate['kind'], string>> = {
  piece: 'piece',
  card: 'card or label',
  cut: 'runs out of the picture',
};

/** Over the photograph: how near one looks, and which of the things in it is measured. */
export function PhotoTools({ photograph, moves }: { photograph: Photograph; moves: Moves }) {
  const { bench } = useWorkbench();
  const measured = useBench((state) => state.measured);
  const { candidates } = photograph;
  const source = measured?.record.source;
  const chosen = source?.kind === 'photo' ? source.boundary.piece : 0;
  return (
    <div className="panel-tools">
      <button type="button" className="button" aria-label="Zoom out" onClick={() => moves.zoom(1 / 1.6)}>
        −
      </button>
      <button type="button" className="button" aria-label="Zoom in" onClick={() => moves.zoom(1.6)}>
        +
      </button>
      <button type="button" className="button" onClick={moves.fit}>
        Whole picture
      </button>
      {candidates.length > 1 && (
        <label>
          <span>Measured</span>
          <select
            value={chosen}
            onChange={({ currentTarget }) => bench.change('photo', { piece: Number(currentTarget.value) })}
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
      {measured && <ShownNote record={measured.record} />}
    </div>
  );
}
