import { memo, useId, useState } from 'react';
import type { Components, Measurement, MeasureRow } from '../../../measures/types.ts';
import { printMeasured } from '../../../record/rounding.ts';
import { printMeasurement, unitSign } from '../../words/values.ts';

const CAUSES: Readonly<Record<keyof Components, string>> = {
  scale: 'scale',
  resolution: 'resolution',
  noise: 'surface noise',
  orientation: 'orientation',
  tracing: 'tracing',
};

/** One measure: its value, and on demand what it means, where that comes from and what its uncertainty is made of. */
export const Row = memo(function Row({ row, measurement }: { row: MeasureRow; measurement: Measurement }) {
  const [open, setOpen] = useState(false);
  const detail = useId();
  return (
    <>
      <tr className={measurement.value === null ? 'row row-empty' : 'row'} data-measure={row.id}>
        <th scope="row">
          <button
            type="button"
            aria-expanded={open}
            aria-controls={open ? detail : undefined}
            onClick={() => setOpen(!open)}
          >
            {row.name}
          </button>
        </th>
        <td>
          <Amount measurement={measurement} />
        </td>
      </tr>
      {open && (
        <tr className="row-detail" id={detail}>
          <td colSpan={2}>
            <p>{row.definition}</p>
            <dl>
              <div>
                <dt>Source</dt>
                <dd>{row.source}</dd>
              </div>
              <div>
                <dt>Name in files</dt>
                <dd>
                  <code>{row.id}</code>
                </dd>
              </div>
              {row.axis && (
                <div>
                  <dt>Depends on</dt>
                  <dd>the length axis that is chosen</dd>
                </div>
              )}
              <Causes measurement={measurement} />
            </dl>
          </td>
        </tr>
      )}
    </>
  );
});

function Amount({ measurement }: { measurement: Measurement }) {
  const printed = printMeasurement(measurement);
  if (printed === null) return <span className="reason">{measurement.reason ?? 'does not apply'}</span>;
  return (
    <>
      <span className={measurement.unit === 'text' ? 'amount amount-word' : 'amount'} aria-hidden="true">
        <span>{printed.value}</span>
        <span className="u">{printed.u !== '' && `± ${printed.u}`}</span>
        <span className="unit">{printed.unit}</span>
      </span>
      <span className="unseen">{printed.spoken}</span>
    </>
  );
}

function Causes({ measurement }: { measurement: Measurement }) {
  const parts = Object.entries(measurement.components ?? {}).filter(([, part]) => part > 0);
  if (parts.length === 0) return null;
  const sign = unitSign(measurement.unit);
  return (
    <div>
      <dt>Uncertainty from</dt>
      <dd>
        {parts
          .map(
            ([cause, part]) =>
              `${CAUSES[cause as keyof Components]} ${printMeasured(part, part).u}\u202f${sign}`,
          )
          .join(', ')}
      </dd>
    </div>
  );
}
