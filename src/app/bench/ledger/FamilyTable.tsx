import { memo, useMemo, useState } from 'react';
import type { FamilyRows } from '../../../../workers/messages.ts';
import type { Measurement } from '../../../measures/types.ts';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { Row } from './Row.tsx';
import { sharedReasons, type Unmeasured } from './sharedReasons.ts';

/** About as high as a row and a family's heading come out, rem. */
const ROW_HEIGHT = 2.125;
const HEAD_HEIGHT = 2.75;

interface FamilyTableProps {
  readonly family: FamilyRows;
  readonly byId: ReadonlyMap<string, Measurement>;
  readonly wanted: string;
  readonly record: SpecimenRecord;
  /** Keeps its place only; its rows are drawn later. */
  readonly empty: boolean;
}

/** The measures of one family. It is as high before its rows are drawn as after, so that nothing below it moves. */
export const FamilyTable = memo(function FamilyTable({
  family,
  byId,
  wanted,
  record,
  empty,
}: FamilyTableProps) {
  const [open, setOpen] = useState(true);
  const rows = useMemo(
    () =>
      family.rows.filter(
        ({ id, name }) => byId.has(id) && (wanted === '' || `${id} ${name}`.toLowerCase().includes(wanted)),
      ),
    [family, byId, wanted],
  );
  // Who looks for a measure by its name is to find it.
  const { told, unmeasured } = useMemo(
    () => (wanted === '' ? sharedReasons(rows, byId) : { told: rows, unmeasured: [] }),
    [rows, byId, wanted],
  );
  if (rows.length === 0) return null;
  const showing = open || wanted !== '';
  const height = `${HEAD_HEIGHT + (showing ? ROW_HEIGHT * (told.length + unmeasured.length) : 0)}rem`;
  return (
    <section
      className="family"
      style={{ containIntrinsicHeight: `auto ${height}`, ...(empty ? { minHeight: height } : {}) }}
    >
      <h3>
        <button type="button" aria-expanded={showing} onClick={() => setOpen(!open)}>
          {family.title}
          <span className="soft">{rows.length}</span>
        </button>
      </h3>
      {showing && !empty && (
        <table>
          <thead className="unseen">
            <tr>
              <th scope="col">On the piece</th>
              <th scope="col">Measure</th>
              <th scope="col">Value and standard uncertainty</th>
            </tr>
          </thead>
          <tbody>
            {told.map((row) => (
              <Row key={row.id} row={row} record={record} measurement={byId.get(row.id) as Measurement} />
            ))}
            {unmeasured.map((group) => (
              <UnmeasuredRows key={group.reason} group={group} byId={byId} record={record} />
            ))}
          </tbody>
        </table>
      )}
    </section>
  );
});

interface UnmeasuredRowsProps extends Pick<FamilyTableProps, 'byId' | 'record'> {
  readonly group: Unmeasured;
}

/** One line for measures that have no value for the same reason; each of them on demand. */
function UnmeasuredRows({ group: { reason, rows }, byId, record }: UnmeasuredRowsProps) {
  const [open, setOpen] = useState(false);
  return (
    <>
      <tr className="row row-empty row-unmeasured">
        <td className="row-picture" />
        <th scope="row">
          <button type="button" className="row-name" aria-expanded={open} onClick={() => setOpen(!open)}>
            {rows.length} not measured
          </button>
        </th>
        <td>
          <span className="reason">{reason}</span>
        </td>
      </tr>
      {open &&
        rows.map((row) => (
          <Row key={row.id} row={row} record={record} measurement={byId.get(row.id) as Measurement} />
        ))}
    </>
  );
}
