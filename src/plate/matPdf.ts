import type { MatDrawing } from './mat.ts';

/** Points of PDF in a millimetre. */
const POINTS = 72 / 25.4;

/**
 * A mat as a PDF of one page (ISO 32000-1): only boxes and lines, no fonts and no clock time, so that the same mat gives
 * the same bytes. Asks viewers not to scale it when printing.
 */
export function matPdf(drawing: MatDrawing): string {
  const size = `[0 0 ${number(drawing.width * POINTS)} ${number(drawing.height * POINTS)}]`;
  const content = contentOf(drawing);
  return assemble([
    '<< /Type /Catalog /Pages 2 0 R /ViewerPreferences << /PrintScaling /None >> >>',
    '<< /Type /Pages /Kids [3 0 R] /Count 1 >>',
    `<< /Type /Page /Parent 2 0 R /MediaBox ${size} /Resources << >> /Contents 4 0 R >>`,
    `<< /Length ${content.length} >>\nstream\n${content}\nendstream`,
    `<< /Title (${drawing.title.replace(/[\\()]/g, '\\$&')}) /Producer (Knapgauge) >>`,
  ]);
}

/** One scaling to millimetres, then boxes and lines as they are. */
function contentOf({ boxes, lines }: MatDrawing): string {
  const scale = number(POINTS);
  const filled = boxes.map(
    ({ left, right, bottom, top, white }) =>
      `${white ? 1 : 0} g ${number(left)} ${number(bottom)} ${number(right - left)} ${number(top - bottom)} re f`,
  );
  const stroked = lines.map(({ points, width }) => {
    const steps: string[] = [];
    for (let i = 0; i < points.length; i += 2) {
      steps.push(`${number(points[i])} ${number(points[i + 1])} ${i === 0 ? 'm' : 'l'}`);
    }
    return `${number(width)} w ${steps.join(' ')} S`;
  });
  return [`${scale} 0 0 ${scale} 0 0 cm`, ...filled, '0 G 1 J 1 j', ...stroked].join('\n');
}

/** Numbered objects with the table that says at which byte each begins. All text is ASCII: characters are bytes. */
function assemble(objects: readonly string[]): string {
  let file = '%PDF-1.4\n';
  const starts = objects.map((body, i) => {
    const start = file.length;
    file += `${i + 1} 0 obj\n${body}\nendobj\n`;
    return start;
  });
  const table = starts.map((start) => `${String(start).padStart(10, '0')} 00000 n \n`).join('');
  const count = objects.length + 1;
  return `${file}xref\n0 ${count}\n0000000000 65535 f \n${table}trailer\n<< /Size ${count} /Root 1 0 R /Info ${objects.length} 0 R >>\nstartxref\n${file.length}\n%%EOF\n`;
}

function number(value: number): string {
  return String(Number(value.toFixed(5)));
}
