import { useState } from 'react';
import type { Measurement } from '../../../measures/types.ts';

/** One number onto the clipboard: bare, or as a row that a table takes. */
export function CopyTools({ measurement }: { measurement: Measurement }) {
  const [said, setSaid] = useState('');
  const { id, value, unit, u } = measurement;
  if (value === null) return null;
  const copy = async (text: string): Promise<void> => {
    try {
      await navigator.clipboard.writeText(text);
      setSaid('Copied.');
    } catch {
      setSaid('This browser does not let the page write to the clipboard.');
    }
  };
  return (
    <div className="copy-tools">
      <button type="button" className="button" onClick={() => void copy(String(value))}>
        Copy value
      </button>
      <button
        type="button"
        className="button"
        onClick={() => void copy([id, value, unit, u ?? ''].join('\t'))}
      >
        Copy row
      </button>
      <span className="soft" role="status">
        {said}
      </span>
    </div>
  );
}
