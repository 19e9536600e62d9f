import { useEffect, useRef, useState } from 'react';
import type { PlateSubject } from '../../../workers/plateMessages.ts';
import { DEFAULT_STYLE, LAYOUTS, PAPERS, type PlateStyle, PROJECTIONS } from '../../plate/plateStyle.ts';
import { useBlobUrl } from '../bench/useBlobUrl.ts';
import { saveFile } from '../save.ts';
import type { Piece } from '../state/pieces.ts';
import { useBench, usePieces } from '../workbench.ts';
import { startPress } from './press.ts';
import { rasterise } from './rasterise.ts';

const LAYOUT_NAMES = {
  full: 'Faces, edge-on view, sections',
  faces: 'Both faces',
  plan: 'Face A alone',
} as const;
const RESOLUTIONS = [300, 600, 1200] as const;
const SCALES = ['auto', '2:1', '1:1', '2:3', '1:2', '1:3', '1:4'] as const;

interface Drawn {
  readonly pages: readonly Blob[];
  readonly scale: string;
  readonly fault: string;
}

const NOTHING: Drawn = { pages: [], scale: '', fault: '' };

/** Plates: the standard figure of one piece or a series, at true scale, as it will be printed. */
export function Plate() {
  const pieces = usePieces((state) => state.pieces);
  const onBench = useBench((state) => state.piece?.id);
  const [chosen, setChosen] = useState<readonly string[] | null>(null);
  const [style, setStyle] = useState<PlateStyle>(DEFAULT_STYLE);
  const [page, setPage] = useState(0);
  const ids = chosen ?? [pieces.find(({ id }) => id === onBench)?.id ?? pieces[0]?.id ?? ''];
  const subjects = useSubjects(pieces, ids);
  const { drawn, busy } = useDrawn(subjects, style);
  const shown = Math.min(page, Math.max(0, drawn.pages.length - 1));
  const url = useBlobUrl(drawn.pages[shown]);
  const change = (asked: Partial<PlateStyle>): void => setStyle({ ...style, ...asked });
  return (
    <div className="plate-place">
      <form className="plate-choices" onSubmit={(event) => event.preventDefault()}>
        <h1>Plate</h1>
        <PieceChoice pieces={pieces} ids={ids} onChoose={setChosen} />
        <Choice
          label="Layout"
          value={style.layout}
          options={LAYOUTS.map((id) => [id, LAYOUT_NAMES[id]])}
          onPick={(layout) => change({ layout })}
        />
        <Choice
          label="Scale"
          value={style.scale}
          options={SCALES.map((id) => [id, id === 'auto' ? 'The greatest that fits' : id])}
          onPick={(scale) => change({ scale })}
        />
        <Choice
          label="Paper"
          value={style.paper}
          options={(Object.keys(PAPERS) as (keyof typeof PAPERS)[]).map((id) => [id, id])}
          onPick={(paper) => change({ paper })}
        />
        <Choice
          label="Projection"
          value={style.projection}
          options={PROJECTIONS.map((id) => [id, id === 'third-angle' ? 'Third-angle' : 'First-angle'])}
          onPick={(projection) => change({ projection })}
        />
        <Choice
          label="Faces"
          value={style.face}
          options={[
            ['relief', 'Shaded, light from the upper left'],
            ['outline', 'Outline'],
          ]}
          onPick={(face) => change({ face })}
        />
        <Check label="Landscape" on={style.landscape} onSet={(landscape) => change({ landscape })} />
        <Check label="Hatched sections" on={style.hatch} onSet={(hatch) => change({ hatch })} />
        <Check label="Midline" on={style.midline} onSet={(midline) => change({ midline })} />
        <Check
          label="Find-spot in the caption"
          on={style.findSpot}
          onSet={(findSpot) => change({ findSpot })}
        />
        <SaveButtons drawn={drawn} subjects={subjects} style={style} />
      </form>
      <section className="plate-preview" aria-label="Preview" aria-busy={busy}>
        {drawn.fault !== '' && (
          <p className="plate-fault" role="alert">
            {drawn.fault}
          </p>
        )}
        {subjects.length === 0 && (
          <p className="soft">
            Choose a piece on the left. Pieces that have not been measured yet are measured in the drawer
            first.
          </p>
        )}
        {url !== null && drawn.fault === '' && subjects.length > 0 && (
          <img src={url} alt={`Plate at ${drawn.scale}, page ${shown + 1} of ${drawn.pages.length}`} />
        )}
        {drawn.pages.length > 1 && (
          <p className="plate-pages">
            <button
              type="button"
              className="button"
              disabled={shown === 0}
              onClick={() => setPage(shown - 1)}
            >
              Page before
            </button>
            {shown + 1} of {drawn.pages.length}
            <button
              type="button"
              className="button"
              disabled={shown + 1 === drawn.pages.length}
              onClick={() => setPage(shown + 1)}
            >
              Next page
            </button>
          </p>
        )}
      </section>
    </div>
  );
}

/** What is drawn; the same list as before as long as nothing in it has changed, whatever else goes on in the drawer. */
function useSubjects(pieces: readonly Piece[], ids: readonly string[]): readonly PlateSubject[] {
  const drawn = pieces.filter(({ id, seen }) => seen !== undefined && ids.includes(id));
  const last = useRef<{ readonly drawn: readonly Piece[]; readonly subjects: readonly PlateSubject[] }>(null);
  const same =
    last.current?.drawn.length === drawn.length &&
    last.current.drawn.every(
      ({ seen, catalogue }, k) => drawn[k].seen === seen && drawn[k].catalogue === catalogue,
    );
  if (last.current === null || !same) {
    const subjects = drawn.flatMap(({ seen, catalogue }): PlateSubject[] =>
      seen === undefined
        ? []
        : [
            {
              record: { ...seen.record, catalogue },
              reliefA: seen.reliefA,
              ...(seen.reliefB === undefined ? {} : { reliefB: seen.reliefB }),
            },
          ],
    );
    last.current = { drawn, subjects };
  }
  return last.current.subjects;
}

/** Draws again a moment after the last change; what was asked before and comes late is let go. */
function useDrawn(subjects: readonly PlateSubject[], style: PlateStyle): { drawn: Drawn; busy: boolean } {
  const [drawn, setDrawn] = useState(NOTHING);
  const [busy, setBusy] = useState(false);
  useEffect(() => {
    if (subjects.length === 0) {
      setDrawn(NOTHING);
      return;
    }
    let current = true;
    setBusy(true);
    const timer = setTimeout(async () => {
      try {
        const plates = await startPress().draw(subjects, style);
        if (current) setDrawn({ ...plates, fault: '' });
      } catch (error) {
        if (current) setDrawn({ ...NOTHING, fault: error instanceof Error ? error.message : String(error) });
      }
      if (current) setBusy(false);
    }, 150);
    return () => {
      current = false;
      clearTimeout(timer);
    };
  }, [subjects, style]);
  return { drawn, busy };
}

interface PieceChoiceProps {
  readonly pieces: readonly Piece[];
  readonly ids: readonly string[];
  readonly onChoose: (ids: readonly string[]) => void;
}

function PieceChoice({ pieces, ids, onChoose }: PieceChoiceProps) {
  return (
    <fieldset>
      <legend>Pieces</legend>
      <div className="plate-pieces">
        {pieces.map(({ id, number, title, seen }) => (
          <label key={id}>
            <input
              type="checkbox"
              checked={ids.includes(id)}
              onChange={({ currentTarget }) =>
                onChoose(currentTarget.checked ? [...ids, id] : ids.filter((other) => other !== id))
              }
            />{' '}
            {number} {title}
            {seen === undefined && <span className="soft"> (not measured yet)</span>}
          </label>
        ))}
      </div>
    </fieldset>
  );
}

interface ChoiceProps<T extends string> {
  readonly label: string;
  readonly value: T;
  readonly options: readonly (readonly [T, string])[];
  readonly onPick: (value: T) => void;
}

function Choice<T extends string>({ label, value, options, onPick }: ChoiceProps<T>) {
  return (
    <label className="plate-line">
      <span>{label}</span>
      <select value={value} onChange={({ currentTarget }) => onPick(currentTarget.value as T)}>
        {options.map(([id, words]) => (
          <option key={id} value={id}>
            {words}
          </option>
        ))}
      </select>
    </label>
  );
}

function Check({ label, on, onSet }: { label: string; on: boolean; onSet: (on: boolean) => void }) {
  return (
    <label>
      <input type="checkbox" checked={on} onChange={({ currentTarget }) => onSet(currentTarget.checked)} />{' '}
      {label}
    </label>
  );
}

interface SaveButtonsProps {
  readonly drawn: Drawn;
  readonly subjects: readonly PlateSubject[];
  readonly style: PlateStyle;
}

function SaveButtons({ drawn, subjects, style }: SaveButtonsProps) {
  const [said, setSaid] = useState('');
  const [dpi, setDpi] = useState<number>(RESOLUTIONS[1]);
  const none = drawn.pages.length === 0;
  const save = async (write: () => Promise<void>): Promise<void> => {
    setSaid('Writing…');
    try {
      await write();
      setSaid('Print it at 100 %, not fitted to the page, and measure the bar.');
    } catch (error) {
      setSaid(error instanceof Error ? error.message : String(error));
    }
  };
  const savePdf = async (): Promise<void> => saveFile('plate.pdf', await startPress().pdf(subjects, style));
  const saveSvg = async (): Promise<void> => {
    const pages = await startPress().svg(subjects, style);
    for (const [k, svg] of pages.entries())
      saveFile(pages.length === 1 ? 'plate.svg' : `plate-${k + 1}.svg`, svg);
  };
  const savePng = async (): Promise<void> => {
    const pages = await startPress().dots(subjects, style, dpi);
    for (const [k, page] of pages.entries()) {
      const name = pages.length === 1 ? 'plate.png' : `plate-${k + 1}.png`;
      saveFile(name, await rasterise(page, dpi));
    }
  };
  return (
    <div className="plate-save">
      <button type="button" className="button button-main" disabled={none} onClick={() => void save(savePdf)}>
        Save PDF
      </button>
      <button type="button" className="button" disabled={none} onClick={() => void save(saveSvg)}>
        Save SVG
      </button>
      <button type="button" className="button" disabled={none} onClick={() => void save(savePng)}>
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
