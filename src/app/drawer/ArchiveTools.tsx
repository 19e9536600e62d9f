import { useState } from 'react';
import { FileButton } from '../frame/FileButton.tsx';
import { bringDrawer } from '../keep/bringDrawer.ts';
import { exportDrawer } from '../keep/drawerArchive.ts';
import { saveFile } from '../save.ts';
import { usePieces, useWorkbench } from '../workbench.ts';

/** The whole drawer out to one file, and back in. */
export function ArchiveTools() {
  const { pieces, bench } = useWorkbench();
  const count = usePieces((state) => state.pieces.length);
  const [findSpots, setFindSpots] = useState(false);
  const [said, setSaid] = useState('');
  const run = async (doing: string, work: () => Promise<string>): Promise<void> => {
    setSaid(doing);
    try {
      setSaid(await work());
    } catch (error) {
      setSaid(error instanceof Error ? error.message : String(error));
    }
  };
  const bringIn = (file: File): Promise<void> =>
    run('Reading the archive…', () => bringDrawer(file, { pieces, bench }));
  const takeAll = (): Promise<void> =>
    run('Packing the drawer…', async () => {
      saveFile('drawer.zip', await exportDrawer(pieces.getState().pieces, findSpots));
      return 'The drawer was saved as drawer.zip.';
    });
  return (
    <section className="archive-tools" aria-labelledby="archive-title">
      <h2 id="archive-title">The whole drawer as one file</h2>
      <p className="soft">Scans, descriptions, settings and records, to keep or to hand on.</p>
      <div className="archive-ways">
        <button type="button" className="button" disabled={count === 0} onClick={() => void takeAll()}>
          Export the drawer
        </button>
        <FileButton label="Drawer archive" accept=".zip" onFiles={([file]) => void bringIn(file)}>
          Import a drawer…
        </FileButton>
      </div>
      <label>
        <input
          type="checkbox"
          checked={findSpots}
          onChange={({ currentTarget }) => setFindSpots(currentTarget.checked)}
        />
        <span>with find-spots, which are otherwise left out</span>
      </label>
      <p className="archive-said" role="status">
        {said}
      </p>
    </section>
  );
}
