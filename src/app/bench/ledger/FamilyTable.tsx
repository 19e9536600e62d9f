import { memo, useState } from 'react';
import type { FamilyRows } from '../../../../workers/messages.ts';
import type { Measurement } from '../../../measures/types.ts';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { Row } from './Row.tsx';

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
  const rows = family.rows.filter(
    ({ id, name }) => byId.has(id) && (wanted === '' || `${id} ${name}`.toLowerCase().includes(wanted)),
  );
  if (rows.length === 0) return null;
  const showing = open || wanted !== '';
  const height = `${HEAD_HEIGHT + (showing ? ROW_HEIGHT * rows.length : 0)}rem`;
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
            {rows.map((row) => (
              <Row key={row.id} row={row} record={record} measurement={byId.get(row.id) as Measurement} />
            ))}
          </tbody>
        </table>
      )}
    </section>
  );
});
