import { useKeeping } from '../workbench.ts';

/** Whether what was done last is on the disk of this computer. */
export function KeepState() {
  const keeping = useKeeping();
  if (keeping.state === 'failed') {
    return (
      <p className="keep-state" data-state="failed" role="alert" title={keeping.why}>
        Not kept
        <span className="keep-why">{keeping.why}</span>
      </p>
    );
  }
  return (
    <p className="keep-state soft" data-state={keeping.state} role="status">
      {keeping.state === 'saving' ? 'Saving…' : 'Kept on this computer'}
    </p>
  );
}
