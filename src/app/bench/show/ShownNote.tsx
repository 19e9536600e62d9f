import type { SpecimenRecord } from '../../../record/schema.ts';
import { printMeasurement } from '../../words/values.ts';
import { useWorkbench } from '../../workbench.ts';
import { useMeasureRow, useShown } from './useShown.ts';

/** Names what is drawn on the piece, and takes it away. */
export function ShownNote({ record }: { record: SpecimenRecord }) {
  const { bench } = useWorkbench();
  const shown = useShown(record);
  const row = useMeasureRow(shown?.id ?? null);
  const measurement = record.measurements.find(({ id }) => id === shown?.id);
  const printed = measurement && printMeasurement(measurement);
  return (
    <div className="shown-note" role="status">
      {shown && (
        <>
          <span className="shown-words">
            <strong>{row?.name ?? shown.id}</strong>
            {printed &&
              ` ${printed.value}${printed.unit === '°' || printed.unit === '' ? '' : '\u202f'}${printed.unit}`}
            : {shown.words}
          </span>
          <button type="button" className="button" aria-label="Stop showing it" onClick={() => bench.hide()}>
            ✕
          </button>
        </>
      )}
    </div>
  );
}
