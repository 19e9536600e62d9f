import { PHOTO_ENDINGS, SCAN_ENDINGS } from '../../intake/fileEndings.ts';
import { useWorkbench } from '../workbench.ts';
import { FileButton } from './FileButton.tsx';

/** Chooses scans and photographs from disk. */
export function OpenButton({ quiet = false }: { quiet?: boolean }) {
  const { take } = useWorkbench();
  return (
    <FileButton
      label="Scan files"
      accept={[...SCAN_ENDINGS, ...PHOTO_ENDINGS, '.mtl'].join(',')}
      multiple
      main={!quiet}
      onFiles={take}
    >
      Open files…
    </FileButton>
  );
}
