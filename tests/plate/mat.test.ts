import { describe, expect, it } from 'vitest';
import { matLayout } from '../../src/intake/scaleMatLayout.ts';
import { drawMat } from '../../src/plate/mat.ts';
import { lettering, letteringWidth } from '../../src/plate/matLettering.ts';
import { matPdf } from '../../src/plate/matPdf.ts';
import { matSvg } from '../../src/plate/matSvg.ts';

describe('the mat on paper', () => {
  it.each(['A4', 'Letter'] as const)(
    'keeps the clear field of %s clear, and all of it on the paper',
    (paper) => {
      const { boxes, lines, width, height } = drawMat(paper);
      const { field, sheet } = matLayout(paper);
      const clear = (x: number, y: number): boolean =>
        x <= field.left || x >= field.right || y <= field.bottom || y >= field.top;
      const points = [
        ...boxes.flatMap(({ left, right, bottom, top }) => [
          left,
          bottom,
          right,
          top,
          left,
          top,
          right,
          bottom,
        ]),
        ...lines.flatMap((line) => [...line.points]),
      ];
      for (let i = 0; i < points.length; i += 2) {
        expect(clear(points[i] + sheet.left, points[i + 1] + sheet.bottom)).toBe(true);
        expect(Math.min(points[i], width - points[i], points[i + 1], height - points[i + 1])).toBeGreaterThan(
          5,
        );
      }
    },
  );

  it('is in SVG as wide as the paper, with the bar’s first block where the layout has it', () => {
    const svg = matSvg(drawMat('Letter'));
    expect(svg).toContain('width="215.9mm" height="279.4mm" viewBox="0 0 215.9 279.4"');
    const { bar, sheet } = matLayout('Letter');
    const y = Number((sheet.top - bar.top).toFixed(3));
    expect(svg).toContain(`<rect x="${bar.left - sheet.left}" y="${y}" width="10" height="5" fill="#000"/>`);
  });

  it('is in PDF a page of the paper’s size, with its table of objects in order and no clock time', () => {
    const pdf = matPdf(drawMat('A4'));
    expect(pdf).toContain('/MediaBox [0 0 595.27559 841.88976]');
    const [, table] = pdf.match(/xref\n0 6\n0{10} 65535 f \n([\s\S]*?)trailer/)!;
    for (const [i, line] of table.trimEnd().split('\n').entries()) {
      expect(pdf.slice(Number(line.slice(0, 10))).startsWith(`${i + 1} 0 obj\n`)).toBe(true);
    }
    expect(pdf.slice(Number(pdf.match(/startxref\n(\d+)/)![1]), -1).startsWith('xref')).toBe(true);
    expect(pdf).not.toMatch(/CreationDate/);
    expect(matPdf(drawMat('A4'))).toBe(pdf);
  });

  it('has letters as high and wide as asked, and says which sign it has not', () => {
    const strokes = lettering('H8', 10, 20, 3);
    const xs = strokes.flatMap((points) => [...points].filter((_, i) => (i & 1) === 0));
    const ys = strokes.flatMap((points) => [...points].filter((_, i) => (i & 1) === 1));
    expect([Math.min(...xs), Math.max(...xs)]).toEqual([
      10,
      expect.closeTo(10 + letteringWidth('H8', 3), 12),
    ]);
    expect([Math.min(...ys), Math.max(...ys)]).toEqual([20, 23]);
    expect(() => lettering('é', 0, 0, 2)).toThrow(/no drawing of the sign/);
  });
});
