import { useRef } from 'react';
import { useWorkbench } from '../workbench.ts';

/** Chooses scans and photographs from disk. */
export function OpenButton({ quiet = false }: { quiet?: boolean }) {
  const { take } = useWorkbench();
  const input = useRef<HTMLInputElement>(null);
  return (
    <>
      <button
        type="button"
        className={quiet ? 'button' : 'button button-main'}
        onClick={() => input.current?.click()}
      >
        Open files…
      </button>
      <input
        ref={input}
        type="file"
        hidden
        multiple
        aria-label="Scan files"
        accept=".ply,.stl,.obj,.gltf,.glb,.jpg,.jpeg,.png,.tif,.tiff,.webp"
        onChange={({ currentTarget }) => {
          take([...(currentTarget.files ?? [])]);
          currentTarget.value = '';
        }}
      />
    </>
  );
}
