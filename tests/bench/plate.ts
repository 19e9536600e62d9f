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
  /** Least CPU time of the rounds, ms: both faces, edge-on view, sections, legend and caption, to the bytes of SVG. */
  readonly whole: number;
  readonly arrises: number;
  /** The outlines of both faces of the same pieces and nothing else. */
  readonly outlines: number;
  readonly pages: number;
  /** Lines of arrises a face. */
  readonly lines: number;
}

const ALONE = { legend: false, caption: false, caution: false, midline: false } as const;
const KINDS: Readonly<Record<'whole' | 'arrises' | 'outlines', Partial<PlateStyle>>> = {
  whole: {},
  arrises: { face: 'arrises' },
  outlines: { layout: 'faces', face: 'outline', ...ALONE },
};

/** Plates of forty pieces drawn to SVG from what their scans gave, and their outlines alone, in turns. */
export async function fortyPlates(file: string, runs: number): Promise<PlateTimes> {
  const settings = { ...DEFAULT_SETTINGS, scan: { ...DEFAULT_SETTINGS.scan, unit: 'mm' as const } };
  const measured = await measureScan(readFileSync(file), 'bench.ply', settings);
  const faces = await typefacesInNode();
  const kinds = Object.entries(KINDS).map(([name, asked]) => {
    const style = verifyStyle({ scale: '1:2', ...asked });
    const piece = platePiece(measured, style);
    const pieces = Array.from({ length: PIECES }, (_, k): PlatePiece => {
      const catalogue = { number: `B ${k + 1}`, material: 'chert' };
      return { ...piece, record: { ...piece.record, catalogue } };
    });
    return { name, style, pieces, ms: Infinity, pages: 0 };
  });
  // All of them once before, so that none is held against another's warming up.
  for (let run = 0; run <= 2 * runs; run++) {
    for (const kind of kinds) {
      const start = process.cpuUsage();
      const drawings = drawPlates(kind.pieces, kind.style, faces, 'bench');
      const bytes = drawings.reduce((sum, drawing) => sum + Buffer.from(drawingSvg(drawing)).length, 0);
      const { user, system } = process.cpuUsage(start);
      if (run > 0 && bytes > 0) kind.ms = Math.min(kind.ms, (user + system) / 1000);
      kind.pages = drawings.length;
    }
  }
  const [whole, arrises, outlines] = kinds;
  const lines: Arrises = arrises.pieces[0].faces?.arrisesA ?? [];
  return {
    whole: whole.ms,
    arrises: arrises.ms,
    outlines: outlines.ms,
    pages: whole.pages,
    lines: lines.length,
  };
}
