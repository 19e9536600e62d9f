import { useWorkbench } from '../workbench.ts';
import { FileButton } from './FileButton.tsx';

/** Chooses scans and photographs from disk. */
export function OpenButton({ quiet = false }: { quiet?: boolean }) {
  const { take } = useWorkbench();
  return (
    <FileButton
      label="Scan files"
      accept=".ply,.stl,.obj,.gltf,.glb,.jpg,.jpeg,.png,.tif,.tiff,.webp"
      multiple
      main={!quiet}
      onFiles={take}
    >
      Open files…
    </FileButton>
  );
}
