import { useState } from 'react';
import type { PlateStyle } from '../../plate/plateStyle.ts';
import { saveFile } from '../save.ts';
import type { Piece } from '../state/pieces.ts';
import { Choice } from './controls.tsx';
import { startPress } from './press.ts';
import { rasterise } from './rasterise.ts';
import { orderOf, type PlateView } from './useDrawn.ts';

const RESOLUTIONS = [300, 600, 1200] as const;

interface SaveButtonsProps {
  readonly view: PlateView;
  readonly pieces: readonly Piece[];
  readonly style: PlateStyle;
}

/** The plate as files. They hold what the preview shows, so that they wait until it is whole. */
export function SaveButtons({ view, pieces, style }: SaveButtonsProps) {
  const [said, setSaid] = useState('');
  const [dpi, setDpi] = useState<number>(RESOLUTIONS[1]);
  const { drawn } = view;
  const off = drawn === null || view.busy;
  const order = orderOf(pieces, style);
  const nameOf = (ending: string, k: number, pages: number): string =>
    pages === 1 ? `plate.${ending}` : `plate-${k + 1}.${ending}`;
  const save = async (write: () => Promise<void>): Promise<void> => {
    setSaid('Writing…');
    try {
      await write();
      setSaid('Print it at 100 %, not fitted to the page, and measure the bar.');
    } catch (error) {
      setSaid(error instanceof Error ? error.message : String(error));
    }
  };
  const savePdf = async (): Promise<void> => saveFile('plate.pdf', await startPress().pdf(order));
  const saveSvg = async (): Promise<void> => {
    const pages = await startPress().svg(order);
    for (const [k, svg] of pages.entries()) saveFile(nameOf('svg', k, pages.length), svg);
  };
  const savePng = async (): Promise<void> => {
    const pages = drawn?.pages ?? 0;
    for (let k = 0; k < pages; k++) {
      if (pages > 1) setSaid(`Writing page ${k + 1} of ${pages}…`);
      saveFile(nameOf('png', k, pages), await rasterise(await startPress().dots(order, dpi, k), dpi));
    }
  };
  return (
    <div className="plate-save">
      <button type="button" className="button button-main" disabled={off} onClick={() => void save(savePdf)}>
        Save PDF
      </button>
      <button type="button" className="button" disabled={off} onClick={() => void save(saveSvg)}>
        Save SVG
      </button>
      <button type="button" className="button" disabled={off} onClick={() => void save(savePng)}>
        Save PNG
      </button>
      <Choice
        label="PNG, dots an inch"
        value={String(dpi)}
        options={RESOLUTIONS.map((n) => [String(n), String(n)])}
        onPick={(picked) => setDpi(Number(picked))}
      />
      <p className="soft" role="status">
        {said}
      </p>
    </div>
  );
}
