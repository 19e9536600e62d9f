import { useKeeping, useNumbersNotKept } from '../workbench.ts';

/** Whether what was done last is on the disk of this computer. */
export function KeepState() {
  const keeping = useKeeping();
  const numbersNotKept = useNumbersNotKept();
  if (keeping.state === 'failed') {
    return (
      // Open until it was read: it lies over what stands below it.
      <details key={keeping.why} className="keep-state" data-state="failed" role="alert" open>
        <summary>Not kept</summary>
        <p className="keep-why">{keeping.why}</p>
      </details>
    );
  }
  if (numbersNotKept && keeping.state === 'kept') {
    return (
      <details className="keep-state soft" data-state="kept" data-numbers="not kept" role="status">
        <summary>Kept, except numbers</summary>
        <p className="keep-why">
          The disk space that this browser allows is full. Scans and all that you changed are kept; what is
          computed of them is not, and will be measured again when the page is opened the next time.
        </p>
      </details>
    );
  }
  return (
    <p className="keep-state soft" data-state={keeping.state} role="status">
      {keeping.state === 'saving' ? 'Saving…' : 'Kept on this computer'}
    </p>
  );
}
