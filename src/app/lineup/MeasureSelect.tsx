import type { Collection } from '../../drawer/collection.ts';
import { usePieces } from '../workbench.ts';

interface MeasureSelectProps {
  readonly label: string;
  readonly collection: Collection;
  readonly value: string;
  readonly onChoose: (id: string) => void;
}

/** One of the measures that some piece has, by families. */
export function MeasureSelect({ label, collection, value, onChoose }: MeasureSelectProps) {
  const families = usePieces((state) => state.families);
  const present = new Map(collection.measures.map((measure) => [measure.id, measure.name]));
  return (
    <label>
      <span>{label}</span>
      <select value={value} onChange={({ currentTarget }) => onChoose(currentTarget.value)}>
        {families.map(({ id, title, rows }) => {
          const own = rows.filter((row) => present.has(row.id));
          return (
            own.length > 0 && (
              <optgroup key={id} label={title}>
                {own.map((row) => (
                  <option key={row.id} value={row.id}>
                    {row.name}
                  </option>
                ))}
              </optgroup>
            )
          );
        })}
      </select>
    </label>
  );
}
