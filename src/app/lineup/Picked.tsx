import { scaleLinear } from 'd3-scale';
import type { Collection } from '../../drawer/collection.ts';
import { RING_POINTS } from '../../drawer/lean.ts';
import { formatRoute } from '../state/route.ts';
import { useWorkbench } from '../workbench.ts';
import { pathOf } from './OutlinesView.tsx';
import { PhotoMark } from './tableParts.tsx';
import { useLineup, useLineupStore } from './useLineup.ts';

/** Shown at most; the rest is counted. */
const MOST = 12;
const BOX = 56;

/** The pieces that are picked, each with its outline and the way to the bench. */
export function Picked({ collection }: { collection: Collection }) {
  const lineup = useLineupStore();
  const all = useLineup((state) => state.picked);
  const picked = all.filter((key) => collection.keys.includes(key));
  const { pieces } = useWorkbench();
  if (picked.length === 0) {
    return <p className="picked-none soft">Pick pieces in a picture or in the table to see them here.</p>;
  }
  const extent = collection.rings.reduce((most, v) => Math.max(most, Math.abs(v)), 1);
  return (
    <section className="picked" aria-label="Picked pieces">
      <h2>Picked</h2>
      <ul>
        {picked.slice(0, MOST).map((key) => {
          const i = collection.keys.indexOf(key);
          if (i < 0) return null;
          const ring = collection.rings.subarray(i * RING_POINTS * 2, (i + 1) * RING_POINTS * 2);
          const onBench = pieces.find(key) !== undefined;
          return (
            <li key={key}>
              <svg className="chart" viewBox={`0 0 ${BOX} ${BOX}`} aria-hidden="true">
                <path
                  className="shape"
                  d={pathOf(
                    ring,
                    scaleLinear([-extent, extent], [0, BOX]),
                    scaleLinear([-extent, extent], [BOX, 0]),
                  )}
                />
              </svg>
              <span>
                {onBench ? (
                  <a href={formatRoute({ place: 'bench', piece: key })}>{collection.names[i]}</a>
                ) : (
                  <span title="Read from a record: open its scan to see it on the bench.">
                    {collection.names[i]}
                  </span>
                )}
                <PhotoMark collection={collection} i={i} />
              </span>
              <button
                type="button"
                className="button"
                aria-label={`Let ${collection.names[i]} go`}
                onClick={() => lineup.pick(key)}
              >
                ×
              </button>
            </li>
          );
        })}
      </ul>
      {picked.length > MOST && <p className="soft">and {picked.length - MOST} more</p>}
      <button type="button" className="button" onClick={lineup.unpick}>
        Let all go
      </button>
    </section>
  );
}
