import { useMemo } from 'react';
import type { Collection } from '../../drawer/collection.ts';
import type { MeanOutline } from '../../drawer/meanOutline.ts';
import { upperFence } from '../../drawer/statsFence.ts';
import { short } from './DistributionView.tsx';
import { downloadCsv } from './exportFigure.ts';
import type { PieceGroup } from './groups.ts';
import { lengthColumn, PIECE_COLUMNS, pieceCells } from './pieceCells.ts';
import { Headings, PhotoMark, RowButton } from './tableParts.tsx';
import { useLineup, useLineupStore } from './useLineup.ts';

/** Rows that are shown; the file holds all. */
const MOST = 8;

interface FarProps {
  readonly collection: Collection;
  readonly groups: readonly PieceGroup[];
  readonly means: readonly MeanOutline[];
  /** Of distances. */
  readonly unit: string;
}

/** The pieces whose outlines lie farthest from the mean of their group, to be looked at first. */
export function FarOutlines({ collection, groups, means, unit }: FarProps) {
  const lineup = useLineupStore();
  const picked = useLineup((state) => state.picked);
  const all = useMemo(() => ranked(groups, means), [groups, means]);
  if (all.length < 3) return null;
  const beyond = all.filter(({ far }) => far).length;
  return (
    <section className="hand-lines" aria-label="Farthest from the mean">
      <h2>Farthest from the mean outline of {groups.length > 1 ? 'their group' : 'all pieces'}</h2>
      <p className="soft">
        Root mean square distance of an outline’s points, square to the mean. {beyond} of {all.length} lie
        beyond the upper quartile by more than 1.5 times the range between the quartiles (Tukey 1977) and
        deserve a look.
      </p>
      <div className="table-scroll">
        <table className="numbers">
          <Headings names={['Piece', 'Group', `Distance, ${unit}`, 'Beyond the fence']} />
          <tbody>
            {all.slice(0, MOST).map(({ i, group, distance, far }) => (
              <tr key={collection.keys[i]} data-picked={picked.includes(collection.keys[i])}>
                <RowButton
                  chosen={picked.includes(collection.keys[i])}
                  onChoose={() => lineup.pick(collection.keys[i])}
                >
                  {collection.names[i]}
                  <PhotoMark collection={collection} i={i} />
                </RowButton>
                <td>{group}</td>
                <td>{short(distance)}</td>
                <td>{far ? 'yes' : 'no'}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p className="figure-files">
        <button
          type="button"
          className="button"
          onClick={() =>
            downloadCsv(
              'outlines-distances',
              [...PIECE_COLUMNS, 'group', lengthColumn('distance', unit), 'beyond_fence'],
              all.map(({ i, group, distance, far }) => [
                ...pieceCells(collection, i),
                group,
                distance,
                far ? 'TRUE' : 'FALSE',
              ]),
            )
          }
        >
          Save distances (CSV)
        </button>
      </p>
    </section>
  );
}

/** All pieces, the farthest first. Means that came late may be of other groups: they say nothing of these. */
function ranked(groups: readonly PieceGroup[], means: readonly MeanOutline[]) {
  return groups
    .flatMap(({ name, which }, g) => {
      const distances = means[g]?.distances;
      if (distances === undefined || distances.length !== which.length) return [];
      const fence = upperFence(distances);
      return Array.from(which, (i, k) => ({
        i,
        group: name,
        distance: distances[k],
        far: distances[k] > fence,
      }));
    })
    .sort((a, b) => b.distance - a.distance);
}
