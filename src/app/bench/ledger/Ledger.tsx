import { startTransition, useDeferredValue, useEffect, useMemo, useState } from 'react';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { usePieces } from '../../workbench.ts';
import { ByHand } from '../byHand/ByHand.tsx';
import { Fields } from '../fields/Fields.tsx';
import { FamilyTable } from './FamilyTable.tsx';
import { HumpList } from './HumpList.tsx';
import { SaveTools } from './SaveTools.tsx';
import { Warnings } from './Warnings.tsx';

/** Every measure of the catalogue, family by family, beside the views. */
export function Ledger({ record, piece }: { record: SpecimenRecord; piece: string }) {
  const families = usePieces((state) => state.families);
  const [sought, setSought] = useState('');
  const [only, setOnly] = useState('');
  const wanted = useDeferredValue(sought.trim().toLowerCase());
  // New numbers come into the rows when there is time for it, so that some hundred of them never hold up the page.
  const shown = useDeferredValue(record);
  const byId = useMemo(
    () => new Map(shown.measurements.map((measurement) => [measurement.id, measurement])),
    [shown],
  );
  const filled = useFilled(families.length);
  // Numbers that were kept may be there before it is known which rows there are: what stands below them would be moved.
  const known = families.length > 0;
  return (
    <section className="ledger" aria-labelledby="ledger-title" aria-busy={!known || filled < families.length}>
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
      {known && (
        <>
          <SaveTools record={record} piece={piece} />
          <Warnings warnings={record.warnings} />
          <HumpList humps={record.humps} />
          {families.map((family, k) =>
            only === '' || family.id === only ? (
              <FamilyTable
                key={family.id}
                family={family}
                byId={byId}
                wanted={wanted}
                record={shown}
                empty={k >= filled}
              />
            ) : null,
          )}
          <ByHand record={record} />
          <Fields key={piece} id={piece} />
          <p className="ledger-note">
            Each value is followed by its standard uncertainty. {measuredFrom(record)}, engine
            {` ${record.engine.version}`}.
          </p>
        </>
      )}
    </section>
  );
}

/** Families that are seen at first: they are as high as they will be from the beginning. */
const SEEN_FIRST = 2;

/** How many of so many families are filled: one more in each go, so that none of them holds up the page. */
function useFilled(all: number): number {
  const [filled, setFilled] = useState(SEEN_FIRST);
  useEffect(() => {
    if (filled >= all) return;
    const timer = setTimeout(() => startTransition(() => setFilled(filled + 1)));
    return () => clearTimeout(timer);
  }, [filled, all]);
  return filled;
}

function measuredFrom({ source }: SpecimenRecord): string {
  return source.kind === 'scan'
    ? `${source.triangles.toLocaleString('en')} triangles`
    : `${source.width} × ${source.height} pixels, ${source.scale.pxPerMm.toFixed(1)} in a millimetre`;
}
