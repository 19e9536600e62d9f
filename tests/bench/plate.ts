import { readFileSync } from 'node:fs';
import { drawingSvg } from '../../src/plate/drawingSvg.ts';
import type { Arrises } from '../../src/plate/faces.ts';
import type { PlatePiece } from '../../src/plate/figure.ts';
import { typefacesInNode } from '../../src/plate/fontsNode.ts';
import { drawPlates } from '../../src/plate/plate.ts';
import { type PlateStyle, verifyStyle } from '../../src/plate/plateStyle.ts';
import { measureScan } from '../../src/record/measureScan.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { platePiece } from '../../workers/plateJob.ts';

const PIECES = 40;

export interface PlateTimes {
  /** Best of the runs, ms: both faces, edge-on view, sections, legend and caption, to SVG. */
  readonly whole: number;
  readonly arrises: number;
  /** The outlines of both faces of the same pieces and nothing else, to SVG. */
  readonly outlines: number;
  readonly pages: number;
  /** Lines of arrises a face. */
  readonly lines: number;
}

/** Plates of forty pieces drawn to SVG from what their scans gave, and their outlines alone. */
export async function fortyPlates(file: string, runs: number): Promise<PlateTimes> {
  const settings = { ...DEFAULT_SETTINGS, scan: { ...DEFAULT_SETTINGS.scan, unit: 'mm' as const } };
  const measured = await measureScan(readFileSync(file), 'bench.ply', settings);
  const faces = await typefacesInNode();
  const draw = (asked: Partial<PlateStyle>): { ms: number; pages: number; lines: number } => {
    const style = verifyStyle({ scale: '1:2', ...asked });
    const piece = platePiece(measured, style);
    const pieces = Array.from({ length: PIECES }, (_, k): PlatePiece => {
      const catalogue = { number: `B ${k + 1}`, material: 'chert' };
      return { ...piece, record: { ...piece.record, catalogue } };
    });
    let [ms, pages] = [Infinity, 0];
    for (let run = 0; run <= runs; run++) {
      const start = performance.now();
      const drawings = drawPlates(pieces, style, faces, 'bench');
      const length = drawings.reduce((sum, drawing) => sum + drawingSvg(drawing).length, 0);
      if (run > 0 && length > 0) ms = Math.min(ms, performance.now() - start);
      pages = drawings.length;
    }
    const arrises: Arrises = piece.faces?.arrisesA ?? [];
    return { ms, pages, lines: arrises.length };
  };
  const alone = { legend: false, caption: false, caution: false, midline: false } as const;
  const whole = draw({});
  const arrises = draw({ face: 'arrises' });
  const outlines = draw({ layout: 'faces', face: 'outline', ...alone });
  return {
    whole: whole.ms,
    arrises: arrises.ms,
    outlines: outlines.ms,
    pages: whole.pages,
    lines: arrises.lines,
  };
}
