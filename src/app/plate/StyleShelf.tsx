import { useState } from 'react';
import { useStore } from 'zustand';
import { FileButton } from '../frame/FileButton.tsx';
import { fileNameOf, saveFile } from '../save.ts';
import { isChanged, type PlateStore, READY_STYLES, styleFile, stylesOf } from './state.ts';

/** Named styles: taken, kept under a name, saved as files and brought back from them. */
export function StyleShelf({ store }: { store: PlateStore }) {
  const style = useStore(store, (state) => state.style);
  const own = useStore(store, (state) => state.own);
  const [naming, setNaming] = useState<string | null>(null);
  const [fault, setFault] = useState('');
  const changed = isChanged({ style, own });
  const isOwn = own.some(({ name }) => name === style.name);
  const ready = READY_STYLES.some(({ name }) => name === style.name);
  const attempt = (act: () => void): void => {
    try {
      act();
      setFault('');
      setNaming(null);
    } catch (error) {
      setFault(error instanceof Error ? error.message : String(error));
    }
  };
  const bring = async (file: File): Promise<void> => {
    const text = await file.text();
    attempt(() => store.bring(text));
  };
  return (
    <fieldset className="plate-shelf">
      <legend>Style</legend>
      <label className="plate-line">
        <span>Named</span>
        <select value={style.name} onChange={({ currentTarget }) => store.take(currentTarget.value)}>
          {!ready && !isOwn && <option value={style.name}>{style.name}</option>}
          {stylesOf({ own }).map(({ name }) => (
            <option key={name} value={name}>
              {name}
              {changed && name === style.name ? ', changed' : ''}
            </option>
          ))}
        </select>
      </label>
      <p className="plate-row">
        {changed && (ready || isOwn) && (
          <button type="button" className="button" onClick={() => store.take(style.name)}>
            Undo
          </button>
        )}
        {changed && isOwn && (
          <button type="button" className="button" onClick={() => attempt(() => store.keepAs(style.name))}>
            Save changes
          </button>
        )}
        <button
          type="button"
          className="button"
          aria-expanded={naming !== null}
          onClick={() => setNaming(naming === null ? '' : null)}
        >
          Save as…
        </button>
        <button
          type="button"
          className="button"
          onClick={() => saveFile(`${fileNameOf(style.name)}.plate-style.json`, styleFile(style))}
        >
          Export
        </button>
        <FileButton label="Style file" accept=".json" onFiles={([file]) => void bring(file)}>
          Import…
        </FileButton>
        {isOwn && (
          <button type="button" className="button" onClick={() => store.remove(style.name)}>
            Delete
          </button>
        )}
      </p>
      {naming !== null && (
        <p className="plate-row">
          <input
            type="text"
            aria-label="Name of the style"
            placeholder="Name of the style"
            maxLength={80}
            value={naming}
            // biome-ignore lint/a11y/noAutofocus: it appears because one asked for it
            autoFocus
            onChange={({ currentTarget }) => setNaming(currentTarget.value)}
            onKeyDown={(event) => {
              if (event.key === 'Escape') setNaming(null);
              if (event.key !== 'Enter') return;
              event.preventDefault();
              attempt(() => store.keepAs(naming.trim()));
            }}
          />
          <button
            type="button"
            className="button"
            disabled={naming.trim() === ''}
            onClick={() => attempt(() => store.keepAs(naming.trim()))}
          >
            Save style
          </button>
        </p>
      )}
      {fault !== '' && (
        <p className="plate-fault" role="alert">
          {fault}
        </p>
      )}
    </fieldset>
  );
}
