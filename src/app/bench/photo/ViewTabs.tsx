import { useState } from 'react';
import { PHOTO_ENDINGS } from '../../../intake/fileEndings.ts';
import { FileButton } from '../../frame/FileButton.tsx';
import { VIEW_WORDS } from '../../words/viewWords.ts';
import { useBench, useWorkbench } from '../../workbench.ts';
import { addPhotos } from './addPhotos.ts';
import type { PhotoTarget } from './target.ts';

interface ViewTabsProps {
  readonly targets: readonly PhotoTarget[];
  readonly beside: boolean;
  readonly onBeside: (beside: boolean) => void;
}

/** The photographs of the piece: which one is spoken of, one or all of them on show, and the way to add more. */
export function ViewTabs({ targets, beside, onBeside }: ViewTabsProps) {
  const workbench = useWorkbench();
  const { bench } = workbench;
  const inHand = useBench((state) => state.inHand);
  const [said, setSaid] = useState('');
  const [looking, setLooking] = useState(false);
  const add = async (files: readonly File[]): Promise<void> => {
    setLooking(true);
    setSaid(await addPhotos(workbench, files));
    setLooking(false);
  };
  const several = targets.length > 1;
  return (
    // biome-ignore lint/a11y/useSemanticElements: a row of buttons is no set of fields
    <div className="view-tabs" role="group" aria-label="Photographs of this piece">
      {several &&
        targets.map(({ view }) => (
          <button
            key={view}
            type="button"
            className="button"
            aria-pressed={view === inHand}
            onClick={() => bench.takeInHand(view)}
          >
            {VIEW_WORDS[view]}
          </button>
        ))}
      <FileButton
        label="Further photographs"
        accept={PHOTO_ENDINGS.join(',')}
        multiple
        title="Its other face, edge-on from the left or the right, or from the tip"
        disabled={looking}
        onFiles={(files) => void add(files)}
      >
        {several ? 'Add…' : 'Add Face B or an edge…'}
      </FileButton>
      <span className="soft" role="status">
        {looking ? 'Looking which view it is…' : said}
      </span>
      {several && (
        <button
          type="button"
          className="button view-beside"
          aria-pressed={beside}
          onClick={() => onBeside(!beside)}
        >
          Side by side
        </button>
      )}
    </div>
  );
}
