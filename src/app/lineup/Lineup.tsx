import { type ComponentType, useEffect } from 'react';
import type { Collection } from '../../drawer/collection.ts';
import { GROUPINGS, type Grouping } from '../../drawer/lean.ts';
import { FileButton } from '../frame/FileButton.tsx';
import { Mishap } from '../frame/Mishap.tsx';
import { formatRoute, LINEUP_VIEWS, type LineupViewId } from '../state/route.ts';
import { usePieces } from '../workbench.ts';
import { ContinuumView } from './ContinuumView.tsx';
import { DistributionView } from './DistributionView.tsx';
import { GroupsView } from './GroupsView.tsx';
import { HandView } from './HandView.tsx';
import { OutlinesView } from './OutlinesView.tsx';
import { Picked } from './Picked.tsx';
import { RepeatView } from './RepeatView.tsx';
import { ScatterView } from './ScatterView.tsx';
import { ShapeView } from './ShapeView.tsx';
import { type GroupBy, type LineupStore, tableGrouping } from './state.ts';
import { TableView } from './TableView.tsx';
import { LineupContext, useLineup, useLineupStore } from './useLineup.ts';

const VIEWS: Readonly<Record<LineupViewId, readonly [string, ComponentType<{ collection: Collection }>]>> = {
  table: ['Table', TableView],
  distribution: ['Distribution', DistributionView],
  scatter: ['Scatter', ScatterView],
  continuum: ['Continuum', ContinuumView],
  outlines: ['Outlines', OutlinesView],
  shape: ['Shape space', ShapeView],
  groups: ['Groups', GroupsView],
  repeat: ['Repeats', RepeatView],
  hand: ['By hand', HandView],
};

/** The place where pieces are compared. */
export function Lineup({ view, store }: { view: LineupViewId; store: LineupStore }) {
  useEffect(() => store.follow(), [store]);
  return (
    <LineupContext value={store}>
      <div className="lineup">
        <Head view={view} />
        <Mishap key={view}>
          <Body view={view} />
        </Mishap>
      </div>
    </LineupContext>
  );
}

function Head({ view }: { view: LineupViewId }) {
  const lineup = useLineupStore();
  const collection = useLineup((state) => state.collection);
  const reading = useLineup((state) => state.reading);
  const demo = useLineup((state) => state.demo);
  const groupBy = useLineup((state) => state.groupBy);
  const labels = useLineup((state) => state.labels);
  const count = collection?.keys.length;
  const counted = count === undefined ? '' : `${count} ${count === 1 ? 'piece' : 'pieces'}`;
  const left = usePieces(
    ({ pieces }) => pieces.filter((piece) => !piece.seen && !piece.fault && (demo || !piece.demo)).length,
  );
  const pending = counted === '' || left === 0 ? '' : `, ${left} more still to be measured`;
  return (
    <header className="lineup-head">
      <h1>Lineup</h1>
      <p className="soft" role="status">
        {reading === null ? `${counted}${pending}` : `Reading records: ${reading.done} of ${reading.all}`}
      </p>
      <label>
        <input type="checkbox" checked={demo} onChange={() => lineup.askDemo(!demo)} />
        <span>Demo pieces</span>
      </label>
      <label>
        <span>Groups</span>
        <select
          value={groupBy}
          onChange={({ currentTarget }) => lineup.set({ groupBy: currentTarget.value as GroupBy })}
        >
          <option value="none">none</option>
          <option value="picked">Picked pieces</option>
          {(Object.keys(collection?.groups ?? {}) as Grouping[]).map((id) => (
            <option key={id} value={id}>
              {GROUPINGS[id]}
            </option>
          ))}
          {labels.map(({ name }) => (
            <option key={name} value={tableGrouping(name)}>
              {name}, from the table
            </option>
          ))}
        </select>
      </label>
      <FileButton
        label="Record files"
        accept=".json"
        multiple
        disabled={reading !== null}
        onFiles={(files) => void lineup.read(files)}
      >
        Add records…
      </FileButton>
      <nav aria-label="Views of the lineup">
        {LINEUP_VIEWS.map((id) => (
          <a
            key={id}
            href={formatRoute({ place: 'lineup', view: id })}
            aria-current={id === view ? 'page' : undefined}
          >
            {VIEWS[id][0]}
          </a>
        ))}
      </nav>
    </header>
  );
}

function Body({ view }: { view: LineupViewId }) {
  const collection = useLineup((state) => state.collection);
  const View = VIEWS[view][1];
  return (
    <>
      <RefusedFiles />
      {collection === null ? (
        <p className="lineup-empty soft">The pieces are being laid out.</p>
      ) : collection.keys.length === 0 ? (
        <p className="lineup-empty soft">
          Nothing to compare yet. Pieces come here from the drawer as soon as they are measured; records of
          earlier work (files that end in .specimen.json) are added with the button above.
        </p>
      ) : (
        <div className="lineup-body">
          <section className="lineup-view" data-view={view} aria-label={VIEWS[view][0]}>
            <View collection={collection} />
          </section>
          <aside className="lineup-aside">
            <Picked collection={collection} />
          </aside>
        </div>
      )}
    </>
  );
}

function RefusedFiles() {
  const refused = useLineup((state) => state.refused);
  if (refused.length === 0) return null;
  return (
    <div className="refused" role="alert">
      <p>{refused.length === 1 ? 'One file was left out.' : `${refused.length} files were left out.`}</p>
      <ul>
        {refused.slice(0, 5).map(({ file, why }) => (
          <li key={file}>
            {file}: {why}
          </li>
        ))}
      </ul>
    </div>
  );
}
