import { useState } from 'react';
import { useBlobUrl } from '../bench/useBlobUrl.ts';
import type { PlateStore } from './state.ts';
import type { PlateView } from './useDrawn.ts';

interface PreviewProps {
  readonly store: PlateStore;
  readonly view: PlateView;
  readonly empty: boolean;
}

/** The page as it will be printed. */
export function Preview({ store, view, empty }: PreviewProps) {
  const { drawn, fault, reading, unread } = view;
  const [wide, setWide] = useState(false);
  const url = useBlobUrl(drawn?.picture);
  if (empty) {
    return (
      <p className="soft">
        Choose a piece on the left. Pieces that have not been measured yet are measured in the drawer first.
      </p>
    );
  }
  return (
    <>
      {fault !== '' && (
        <p className="plate-fault" role="alert">
          {fault}
        </p>
      )}
      <p className="soft plate-reading" role="status">
        {reading !== null &&
          `Drawing from the ${reading.all === 1 ? 'scan' : `scans, ${reading.done + 1} of ${reading.all}`}…`}
        {unread.length > 0 &&
          `The scan of ${unread.join(', ')} could not be read again: drawn with what is at hand.`}
      </p>
      {drawn !== null && url !== null && fault === '' && (
        <>
          <img
            src={url}
            className={wide ? 'plate-wide' : undefined}
            alt={`Plate at ${drawn.scale}, page ${drawn.page + 1} of ${drawn.pages}`}
          />
          <div className="plate-pages">
            {drawn.pages > 1 && <Pages store={store} page={drawn.page} pages={drawn.pages} />}
            <button type="button" className="button" aria-pressed={wide} onClick={() => setWide(!wide)}>
              Enlarge the preview
            </button>
          </div>
        </>
      )}
    </>
  );
}

interface PagesProps {
  readonly store: PlateStore;
  readonly page: number;
  readonly pages: number;
}

function Pages({ store, page, pages }: PagesProps) {
  return (
    <>
      <button type="button" className="button" disabled={page === 0} onClick={() => store.turnTo(page - 1)}>
        Page before
      </button>
      <span>
        {page + 1} of {pages}
      </span>
      <button
        type="button"
        className="button"
        disabled={page + 1 === pages}
        onClick={() => store.turnTo(page + 1)}
      >
        Next page
      </button>
    </>
  );
}
