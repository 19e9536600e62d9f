import type { SpecimenRecord } from '../../record/schema.ts';
import { useBlobUrl } from '../bench/useBlobUrl.ts';
import type { Piece } from '../state/pieces.ts';
import { formatRoute } from '../state/route.ts';
import { printNumber } from '../words/values.ts';
import { useWorkbench } from '../workbench.ts';

/** One piece: its picture as it was traced, its number, what to look at, its main numbers. */
export function Card({ piece }: { piece: Piece }) {
  const { pieces } = useWorkbench();
  const { seen, fault, title, number, look } = piece;
  return (
    <li className="card">
      <a href={formatRoute({ place: 'bench', piece: piece.id })}>
        <CardPicture piece={piece} />
        <div className="card-words">
          {number !== '' && <p className="card-number">{number}</p>}
          <h3>{title}</h3>
          {look !== '' && <p className="card-look">{look}</p>}
          {seen && <p className="card-size">{sizeOf(seen.record)}</p>}
          {fault && <p className="card-fault">{fault.what}</p>}
          {seen && seen.record.warnings.length > 0 && (
            <p className="card-warnings">
              {seen.record.warnings.length === 1 ? '1 warning' : `${seen.record.warnings.length} warnings`}
            </p>
          )}
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
    </li>
  );
}

function CardPicture({ piece }: { piece: Piece }) {
  const url = useBlobUrl((piece.picture ?? piece.seen?.reliefA)?.image);
  if (url !== null) return <img className="card-picture" src={url} alt="" />;
  return (
    <div className="card-picture card-waiting">
      {piece.fault === undefined ? <span>being measured</span> : <span>not measured</span>}
    </div>
  );
}

function sizeOf({ measurements }: SpecimenRecord): string {
  const value = (id: string): number | null => {
    const found = measurements.find((measurement) => measurement.id === id)?.value;
    return typeof found === 'number' ? found : null;
  };
  const sizes = ['length', 'width', 'thickness'].map(value);
  if (sizes.some((size) => size === null)) return '';
  return `${sizes.map((size) => printNumber(size ?? NaN, 1)).join(' × ')}\u202fmm`;
}
