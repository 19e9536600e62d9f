import { memo } from 'react';
import type { Warning } from '../../geometry/types.ts';
import { roughOf, roughSign } from '../../record/rough.ts';
import type { SpecimenRecord } from '../../record/schema.ts';
import { useBlobUrl } from '../bench/useBlobUrl.ts';
import type { Anew } from '../keep/measured.ts';
import { numberOf } from '../state/finding.ts';
import { leftOf, type Piece } from '../state/pieces.ts';
import { formatRoute } from '../state/route.ts';
import { wordsOnOlder } from '../words/older.ts';
import { printNumber } from '../words/values.ts';
import { useWorkbench } from '../workbench.ts';

/** One piece: its picture as it was traced, its number, what to look at, its main numbers, what to beware of. */
export const Card = memo(function Card({ piece }: { piece: Piece }) {
  const { pieces } = useWorkbench();
  const { seen, fault, title, number, look, anew } = piece;
  const left = leftOf(piece);
  const shown = seen ?? left;
  return (
    <>
      <a href={formatRoute({ place: 'bench', piece: piece.id })}>
        <CardPicture piece={piece} />
        <div className="card-words">
          {number !== '' && <p className="card-number">{number}</p>}
          <h3>{title}</h3>
          {look !== '' && <p className="card-look">{look}</p>}
          {shown && <CardNumbers record={shown.record} />}
          {left && <p className="card-anew">{wordsOnOlder(left.record)}</p>}
          {anew && !left && <p className="card-anew">{wordsOnAnew(anew, seen !== undefined)}</p>}
          {fault && <p className="card-fault">{fault.what}</p>}
          {shown && <CardWarnings warnings={shown.record.warnings} />}
        </div>
      </a>
      <button
        type="button"
        className="button card-out"
        aria-label={`Take ${number || title} out of the drawer`}
        onClick={() => pieces.takeOut(piece.id)}
      >
        Take out
      </button>
    </>
  );
});

function wordsOnAnew(anew: Anew, done: boolean): string {
  const how = done ? 'Measured anew' : 'To be measured anew';
  if (anew === 'program') return `${how}: the program has changed since.`;
  if (anew === 'settings') return `${how}: its settings have changed since.`;
  return `${how}: its scan is not the one that was measured before.`;
}

function CardPicture({ piece }: { piece: Piece }) {
  const { pieces } = useWorkbench();
  const image = (piece.picture ?? piece.seen?.reliefA)?.image;
  const url = useBlobUrl(image);
  // A kept picture may have been cleared away with the browser's storage.
  const onError = (): void => {
    image?.arrayBuffer().catch(() => pieces.doubt(piece.id));
  };
  if (url !== null) return <img className="card-picture" src={url} alt="" onError={onError} />;
  return (
    <div className="card-picture card-waiting">
      {piece.fault === undefined ? <span>waits to be measured</span> : <span>not measured</span>}
    </div>
  );
}

/** Beside the size: the numbers that tell at a glance how far the work on a piece went. */
const TELLING: readonly (readonly [id: string, name: string, decimals: number, unit: string])[] = [
  ['width.thickness', 'W / Th', 2, ''],
  ['edge.angle.mean', 'Edge', 0, '°'],
  ['humps.count', 'Humps', 0, ''],
];

function CardNumbers({ record }: { record: SpecimenRecord }) {
  // A photograph of one face tells no thickness, and nothing that follows from it.
  const known = (id: string): boolean => record.source.kind === 'scan' || numberOf(record, id) !== null;
  const telling = TELLING.filter(([id]) => known(id));
  const print = (id: string, decimals: number): string => {
    const value = numberOf(record, id);
    if (value === null) return '–';
    const measurement = record.measurements.find((one) => one.id === id);
    return roughSign(measurement && roughOf(measurement)) + printNumber(value, decimals);
  };
  const sizes = ['length', 'width', 'thickness'].filter(known).map((id) => print(id, 1));
  return (
    <>
      <p className="card-size">{sizes.join(' × ')}&#8239;mm</p>
      {telling.length > 0 && (
        <dl className="card-numbers">
          {telling.map(([id, name, decimals, unit]) => {
            const value = print(id, decimals);
            return (
              <div key={id}>
                <dt>{name}</dt>
                <dd>{value === '–' ? value : `${value}${unit}`}</dd>
              </div>
            );
          })}
        </dl>
      )}
    </>
  );
}

/** The first warning in its own words, the others by their number. */
function CardWarnings({ warnings }: { warnings: readonly Warning[] }) {
  const [first] = warnings;
  if (first === undefined) return null;
  return (
    <div className="card-warnings">
      <p className="card-warning">{first.text}</p>
      {warnings.length > 1 && <p>and {warnings.length - 1} more</p>}
    </div>
  );
}
