import { useState } from 'react';
import type { MatPaper } from '../../intake/photoTypes.ts';
import { saveFile } from '../save.ts';

const PAPERS: readonly MatPaper[] = ['A4', 'Letter'];

/** The scale mat as a file to print, for who has no scale in the picture yet. */
export function MatSheets() {
  const [said, setSaid] = useState('');
  const save = async (paper: MatPaper): Promise<void> => {
    try {
      // Few ever ask for it.
      const [{ drawMat }, { matPdf }] = await Promise.all([
        import('../../plate/mat.ts'),
        import('../../plate/matPdf.ts'),
      ]);
      saveFile(`scale-mat-${paper}.pdf`, new Blob([matPdf(drawMat(paper))], { type: 'application/pdf' }));
      setSaid('Print it at 100 %, not fitted to the page, and measure its bar.');
    } catch {
      setSaid('The mat could not be loaded: reload the page.');
    }
  };
  return (
    <div className="mat-sheets">
      <span className="soft">A scale mat to print for photographs:</span>
      {PAPERS.map((paper) => (
        <button
          key={paper}
          type="button"
          className="button"
          aria-label={`Scale mat on ${paper}, PDF`}
          onClick={() => void save(paper)}
        >
          {paper}
        </button>
      ))}
      <span className="soft" role="status">
        {said}
      </span>
    </div>
  );
}
