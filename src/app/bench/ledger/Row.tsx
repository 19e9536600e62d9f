import { memo, useId, useState } from 'react';
import type { Components, Measurement, MeasureRow } from '../../../measures/types.ts';
import { printMeasured } from '../../../record/rounding.ts';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { printMeasurement, unitSign } from '../../words/values.ts';
import { useBench, useWorkbench } from '../../workbench.ts';
import { Thumbnail, useThumbnail } from '../show/Thumbnail.tsx';
import { showMeasure } from '../show/table.ts';
import { lookOf } from '../show/useShown.ts';
import { CopyTools } from './CopyTools.tsx';

const CAUSES: Readonly<Record<Exclude<keyof Components, 'definition'>, string>> = {
  scale: 'scale',
  resolution: 'resolution',
  noise: 'surface noise',
  orientation: 'orientation',
  tracing: 'tracing',
  hand: 'drawn by hand',
};

interface RowProps {
  readonly row: MeasureRow;
  readonly measurement: Measurement;
  readonly record: SpecimenRecord;
}

/** One measure: its value, and on demand what it means, where that comes from and what its uncertainty is made of. */
export const Row = memo(function Row({ row, measurement, record }: RowProps) {
  const [open, setOpen] = useState(false);
  const detail = useId();
  return (
    <>
      <tr className={measurement.value === null ? 'row row-empty' : 'row'} data-measure={row.id}>
        <td className="row-picture">
          <ShowButton row={row} record={record} />
        </td>
        <th scope="row">
          <button
            type="button"
            className="row-name"
            aria-expanded={open}
            aria-controls={open ? detail : undefined}
            onClick={() => setOpen(!open)}
          >
            {row.name.replace(/ %$/, '\u00a0%')}
          </button>
          <Mark measurement={measurement} />
        </th>
        <td>
          <Amount measurement={measurement} />
        </td>
      </tr>
      {open && (
        <tr className="row-detail" id={detail}>
          <td colSpan={3}>
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
              <Grounds measurement={measurement} />
              <Causes measurement={measurement} />
            </dl>
            <CopyTools measurement={measurement} />
          </td>
        </tr>
      )}
    </>
  );
});

/** A small picture of what is measured; it shows the same on the piece, or takes it away. */
function ShowButton({ row, record }: { row: MeasureRow; record: SpecimenRecord }) {
  const { bench } = useWorkbench();
  const on = useBench((state) => state.shown === row.id);
  const picture = useThumbnail(record, row.id);
  if (picture === null) return null;
  return (
    <button
      type="button"
      className="row-show"
      aria-pressed={on}
      aria-label={`Show ${row.name} on the piece`}
      title="Show it on the piece"
      onClick={() => (on ? bench.hide() : bench.show(row.id, showMeasure(lookOf(record), row.id) ?? {}))}
    >
      <Thumbnail picture={picture} />
    </button>
  );
}

/** What a value that is less than one taken from the surface itself rests on, and what its uncertainty leaves out. */
function Grounds({ measurement: { estimated, byHand } }: RowGrounds) {
  if (!estimated && !byHand) return null;
  return (
    <div>
      <dt>{estimated ? 'Estimated' : 'Traced by hand'}</dt>
      <dd>
        {estimated
          ? 'from silhouettes, which show the whole extent: as much as the thickness where the margin runs straight, and more where it winds. The uncertainty does not hold how much more.'
          : 'along the edge that was clicked in an edge-on photograph. The uncertainty does not hold whether the right edge was clicked.'}
      </dd>
    </div>
  );
}

interface RowGrounds {
  readonly measurement: Pick<Measurement, 'estimated' | 'byHand'>;
}

/** What the value rests on, where that is less than the surface itself. */
function Mark({ measurement: { estimated, byHand } }: RowGrounds) {
  if (!estimated && !byHand) return null;
  return estimated ? (
    <span className="row-mark" title="From silhouettes, not from the surface itself">
      estimated
    </span>
  ) : (
    <span className="row-mark" title="Along the edge that was clicked in an edge-on photograph">
      traced by hand
    </span>
  );
}

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
  const { definition = 0, ...components } = measurement.components ?? {};
  const parts = Object.entries(components).filter(([, part]) => part > 0);
  const amount = (part: number) => `${printMeasured(part, part).u}\u202f${unitSign(measurement.unit)}`;
  return (
    <>
      {parts.length > 0 && (
        <div>
          <dt>Uncertainty from</dt>
          <dd>
            {parts
              .map(([cause, part]) => `${CAUSES[cause as keyof typeof CAUSES]} ${amount(part)}`)
              .join(', ')}
          </dd>
        </div>
      )}
      {definition > 0 && (
        <div>
          <dt>Spread under other axes</dt>
          <dd>{amount(definition)}, not part of the uncertainty</dd>
        </div>
      )}
    </>
  );
}
