import { useEffect, useRef } from 'react';
import { MemoryWays } from '../bench/MemoryWays.tsx';
import { MEMORY_SHORT } from '../state/fault.ts';
import { type Queued, queueCounts } from '../state/queue.ts';
import { formatRoute } from '../state/route.ts';
import { stepName } from '../words/stepNames.ts';
import { useQueue, useWorkbench } from '../workbench.ts';

/** Files that were put in together: how far each is, what went wrong with it, and the way to leave it out. */
export function QueueList() {
  const { queue, drawerPlace } = useWorkbench();
  const entries = useQueue((state) => state.entries);
  const list = useRef<HTMLElement>(null);
  // Who drops files looks at where they went, however far down the drawer that was.
  useEffect(() => {
    if (entries.length > drawerPlace.queued) list.current?.scrollIntoView({ block: 'nearest' });
    drawerPlace.queued = entries.length;
  }, [entries.length, drawerPlace]);
  if (entries.length === 0) return null;
  const { all, measured, toDo } = queueCounts(entries);
  const listed = entries.filter(({ state }) => state !== 'measured').toSorted(byUrgency);
  return (
    <section ref={list} className="queue" aria-labelledby="queue-title">
      <header className="queue-head">
        <h2 id="queue-title">
          {toDo > 0
            ? `Measuring, ${measured} of ${all} done`
            : all > 0
              ? `${measured} of ${all} measured`
              : 'What became of the files'}
        </h2>
        {toDo > 1 && (
          <button
            type="button"
            className="button"
            onClick={() => {
              for (const { id } of entries) queue.cancel(id);
            }}
          >
            Cancel all
          </button>
        )}
        {toDo < entries.length && (
          <button type="button" className="button" onClick={() => queue.dismiss()}>
            Clear what is done
          </button>
        )}
      </header>
      {toDo > 0 && <progress max={all} value={measured} aria-label="The whole queue" />}
      {listed.length > 0 && (
        // A list that scrolls must be reached by keys.
        // biome-ignore lint/a11y/noNoninteractiveTabindex: as above
        <ul className="queue-list" tabIndex={0} aria-label="Files of the queue">
          {listed.map((entry) => (
            <QueueLine key={entry.id} entry={entry} />
          ))}
        </ul>
      )}
      <p className="unseen" role="status">
        {toDo === 0 && all > 0 ? `All done: ${measured} of ${all} measured.` : ''}
        {entries.map(({ state, what }) => (state === 'told' ? ` ${what}` : ''))}
      </p>
    </section>
  );
}

/** What is going on first, then what went wrong, then what waits. */
const URGENCY = {
  measuring: 0,
  failed: 1,
  refused: 1,
  asking: 1,
  told: 1,
  waiting: 2,
  cancelled: 3,
  measured: 4,
} as const;

function byUrgency(a: Queued, b: Queued): number {
  return URGENCY[a.state] - URGENCY[b.state];
}

function QueueLine({ entry }: { entry: Queued }) {
  const { queue } = useWorkbench();
  const { id, fileName, state, progress, what, fault } = entry;
  const open = state === 'waiting' || state === 'measuring';
  return (
    <li className="queue-line" data-state={state}>
      <span className="queue-name">{fileName}</span>
      <span className="queue-state">
        {state === 'measuring' && (
          <>
            <progress
              max={100}
              value={Math.round(100 * progress.fraction)}
              aria-label={`Measuring ${fileName}`}
            />
            <span className="soft">{stepName(progress.step)}</span>
          </>
        )}
        {state === 'waiting' && <span className="soft">waits</span>}
        {state === 'cancelled' && <span className="soft">left out; not kept</span>}
        {what !== '' && <span className="queue-what">{what}</span>}
      </span>
      <span className="queue-ways">
        {open ? (
          <button
            type="button"
            className="button"
            aria-label={`Cancel ${fileName}`}
            onClick={() => queue.cancel(id)}
          >
            Cancel
          </button>
        ) : (
          <>
            {state === 'asking' && fault?.code === MEMORY_SHORT && (
              <MemoryWays
                name={fileName}
                thinTo={fault.thinTo}
                onThin={(thin) => queue.answer(id, thin)}
                onWhole={() => queue.answer(id, undefined)}
              />
            )}
            {state === 'asking' && fault?.code !== MEMORY_SHORT && (
              <a className="button" href={formatRoute({ place: 'bench', piece: id })}>
                Tell its scale
              </a>
            )}
            {(state === 'failed' || state === 'cancelled') && (
              <button
                type="button"
                className="button"
                aria-label={`Try ${fileName} again`}
                onClick={() => queue.again(id)}
              >
                Try again
              </button>
            )}
            <button
              type="button"
              className="button"
              aria-label={`Dismiss ${fileName}`}
              onClick={() => queue.dismiss(id)}
            >
              Dismiss
            </button>
          </>
        )}
      </span>
    </li>
  );
}
