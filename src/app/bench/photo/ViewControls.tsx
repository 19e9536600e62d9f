import { VIEWS, type ViewName } from '../../../trace/types.ts';
import { assignView } from '../../state/views.ts';
import { VIEW_WORDS } from '../../words/viewWords.ts';
import { useBench, useWorkbench } from '../../workbench.ts';
import { usePhotoTarget } from './target.ts';

/** What a further photograph shows, and the way to take it away again. */
export function ViewControls() {
  const { bench } = useWorkbench();
  const { view, file, told, change } = usePhotoTarget();
  const tracing = useBench((state) => state.tool === 'edge');
  const flipped = useBench(({ history }) => history.present.photo?.flipEdgeOn === true);
  if (view === 'A') return null;
  const edgeOn = view === 'left' || view === 'right';
  const views = () => bench.getState().history.present.photo?.views ?? [];
  return (
    <>
      <label>
        <span>Shows</span>
        <select
          value={view}
          onChange={({ currentTarget }) => {
            const chosen = currentTarget.value as ViewName;
            bench.takeInHand(chosen);
            bench.change('photo', { views: assignView(views(), file, chosen) });
          }}
        >
          {VIEWS.map((name) => (
            <option key={name} value={name}>
              {VIEW_WORDS[name]}
            </option>
          ))}
        </select>
      </label>
      {edgeOn && (
        <button
          type="button"
          className="button"
          aria-pressed={tracing}
          title="Click along the winding edge that faces the camera; it is followed between the clicks"
          onClick={() => bench.takeUp(tracing ? null : 'edge')}
        >
          Trace the edge
        </button>
      )}
      {edgeOn && (
        <button
          type="button"
          className="button"
          disabled={told.edge === undefined}
          onClick={() => change({ edge: undefined })}
        >
          Clear the edge
        </button>
      )}
      {edgeOn && (
        <button
          type="button"
          className="button"
          aria-pressed={flipped}
          title="Tip and base of the edge-on view"
          onClick={() => bench.change('photo', { flipEdgeOn: flipped ? undefined : true })}
        >
          Swap its ends
        </button>
      )}
      <button
        type="button"
        className="button"
        onClick={() => {
          const left = views().filter((told) => told.file !== file);
          bench.takeInHand('A');
          bench.change('photo', { views: left.length === 0 ? undefined : left });
        }}
      >
        Take away
      </button>
    </>
  );
}
