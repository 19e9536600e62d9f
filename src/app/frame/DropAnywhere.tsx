import { type DragEvent, type ReactNode, useState } from 'react';
import { useWorkbench } from '../workbench.ts';
import { droppedFiles } from './droppedFiles.ts';

/** The whole page takes files. While some hang over it, it says what will happen to them. */
export function DropAnywhere({ children }: { children: ReactNode }) {
  const { take, queue, goTo } = useWorkbench();
  const [over, setOver] = useState(false);

  const carriesFiles = (event: DragEvent): boolean => event.dataTransfer.types.includes('Files');

  const drop = async (what: DataTransfer): Promise<void> => {
    const { files, refused } = await droppedFiles(what);
    take(files);
    for (const { name, why } of refused) queue.refuse(name, why);
    if (files.length === 0) goTo({ place: 'drawer' });
  };

  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: dropping has its keyboard way in the file button
    <div
      className="page"
      onDragOver={(event) => {
        if (!carriesFiles(event)) return;
        event.preventDefault();
        setOver(true);
      }}
      onDragLeave={(event) => {
        if (event.currentTarget.contains(event.relatedTarget as Node | null)) return;
        setOver(false);
      }}
      onDrop={(event) => {
        if (!carriesFiles(event)) return;
        event.preventDefault();
        setOver(false);
        void drop(event.dataTransfer);
      }}
    >
      {children}
      {over && (
        <div className="drop-over" aria-hidden="true">
          <p>Let go to measure.</p>
          <p className="soft">
            Scans (PLY, STL, OBJ, glTF, GLB) or photographs with a scale (JPEG, PNG, TIFF, WebP), one or many,
            or a folder of them; drawers and records as well. They stay on this computer.
          </p>
        </div>
      )}
    </div>
  );
}
