import { memo, useDeferredValue, useMemo, useState } from 'react';
import type { FamilyRows } from '../../../../workers/messages.ts';
import type { Measurement } from '../../../measures/types.ts';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { usePieces } from '../../workbench.ts';
import { ByHand } from '../byHand/ByHand.tsx';
import { Fields } from '../fields/Fields.tsx';
import { HumpList } from './HumpList.tsx';
import { Row } from './Row.tsx';
import { SaveTools } from './SaveTools.tsx';
import { Warnings } from './Warnings.tsx';

/** Every measure of the catalogue, family by family, beside the views. */
export function Ledger({ record, piece }: { record: SpecimenRecord; piece: string }) {
  const families = usePieces((state) => state.families);
  const [sought, setSought] = useState('');
  const [only, setOnly] = useState('');
  const wanted = useDeferredValue(sought.trim().toLowerCase());
  // The first showing of some hundred rows may be interrupted, so that it never holds up the page.
  const shown = useDeferredValue<SpecimenRecord | null>(record, null);
  const byId = useMemo(
    () => new Map((shown?.measurements ?? []).map((measurement) => [measurement.id, measurement])),
    [shown],
  );
  return (
    <section className="ledger" aria-labelledby="ledger-title">
      <header className="ledger-head">
        <h2 id="ledger-title">Ledger</h2>
        <input
          type="search"
          placeholder="Find a measure"
          aria-label="Find a measure"
          value={sought}
          onChange={({ currentTarget }) => setSought(currentTarget.value)}
        />
        <select
          aria-label="Family of measures"
          value={only}
          onChange={({ currentTarget }) => setOnly(currentTarget.value)}
        >
          <option value="">All families</option>
          {families.map(({ id, title }) => (
            <option key={id} value={id}>
              {title}
            </option>
          ))}
        </select>
      </header>
      <SaveTools record={record} piece={piece} />
      <Warnings warnings={record.warnings} />
      <HumpList humps={record.humps} />
      {shown !== null &&
        families
          .filter(({ id }) => only === '' || id === only)
          .map((family) => (
            <FamilyTable key={family.id} family={family} byId={byId} wanted={wanted} record={shown} />
          ))}
      <ByHand record={record} />
      <Fields key={piece} id={piece} />
      <p className="ledger-note">
        Each value is followed by its standard uncertainty. {measuredFrom(record)}, engine
        {` ${record.engine.version}`}.
      </p>
    </section>
  );
}

function measuredFrom({ source }: SpecimenRecord): string {
  return source.kind === 'scan'
    ? `${source.triangles.toLocaleString('en')} triangles`
    : `${source.width} × ${source.height} pixels, ${source.scale.pxPerMm.toFixed(1)} in a millimetre`;
}

interface FamilyTableProps {
  readonly family: FamilyRows;
  readonly byId: ReadonlyMap<string, Measurement>;
  readonly wanted: string;
  readonly record: SpecimenRecord;
}

const FamilyTable = memo(function FamilyTable({ family, byId, wanted, record }: FamilyTableProps) {
  const [open, setOpen] = useState(true);
  const rows = family.rows.filter(
    ({ id, name }) => byId.has(id) && (wanted === '' || `${id} ${name}`.toLowerCase().includes(wanted)),
  );
  if (rows.length === 0) return null;
  const showing = open || wanted !== '';
  return (
    <section className="family">
      <h3>
        <button type="button" aria-expanded={showing} onClick={() => setOpen(!open)}>
          {family.title}
          <span className="soft">{rows.length}</span>
        </button>
      </h3>
      {showing && (
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
