import { queueCounts } from '../state/queue.ts';
import { formatRoute, type Route } from '../state/route.ts';
import { useBench, useQueue } from '../workbench.ts';
import { KeepState } from './KeepState.tsx';
import { OpenButton } from './OpenButton.tsx';
import { ThemeChoice } from './ThemeChoice.tsx';

export function TopBar({ route }: { route: Route }) {
  const onBench = useBench(({ piece }) => piece);
  const here = (place: Route['place']) => (route.place === place ? ('page' as const) : undefined);
  return (
    <header className="top-bar">
      <button type="button" className="button skip" onClick={skipToPlace}>
        Skip to the content
      </button>
      <p className="wordmark">Knapgauge</p>
      <nav aria-label="Places">
        <a href={formatRoute({ place: 'drawer' })} aria-current={here('drawer')}>
          Drawer
        </a>
        {onBench !== null && (
          <a href={formatRoute({ place: 'bench', piece: onBench.id })} aria-current={here('bench')}>
            Bench
          </a>
        )}
        <a href={formatRoute({ place: 'plate' })} aria-current={here('plate')}>
          Plate
        </a>
        <a href={formatRoute({ place: 'lineup', view: 'table' })} aria-current={here('lineup')}>
          Lineup
        </a>
      </nav>
      <div className="top-bar-end">
        <QueueState />
        <KeepState />
        <ThemeChoice />
        <OpenButton quiet={route.place === 'bench'} />
      </div>
    </header>
  );
}

/** Says from everywhere how far the queue is, and leads to it. */
function QueueState() {
  const entries = useQueue((state) => state.entries);
  const { all, measured, toDo, amiss } = queueCounts(entries);
  if (toDo === 0 && amiss === 0) return null;
  return (
    <a className="queue-state-link" href={formatRoute({ place: 'drawer' })}>
      {toDo > 0 ? `Measuring, ${measured} of ${all}` : amiss === 1 ? '1 file amiss' : `${amiss} files amiss`}
    </a>
  );
}

/** A link with `#place` would change the address, which names the place one is in. */
function skipToPlace(): void {
  const place = document.getElementById('place');
  place?.setAttribute('tabindex', '-1');
  place?.focus();
}
