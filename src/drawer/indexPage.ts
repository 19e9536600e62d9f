import { printValue } from '../record/printed.ts';
import type { Source } from '../record/schema.ts';
import type { NamedRecord } from './tables.ts';

const SHOWN: readonly (readonly [id: string, name: string])[] = [
  ['length', 'Length'],
  ['width', 'Width'],
  ['thickness', 'Thickness'],
];

const STYLE =
  'body{margin:2rem auto;max-width:80rem;padding:0 1rem;font:16px/1.45 Georgia,serif;color:#23201c;background:#faf8f2}h1{font-weight:500}ul{display:grid;grid-template-columns:repeat(auto-fill,minmax(15rem,1fr));gap:1rem;padding:0;list-style:none}li{border:1px solid #d8d2c4;background:#fffdf8;padding:.75rem}img{display:block;width:100%;height:auto}p{margin:.25rem 0;font-size:.875rem}.warn{color:#8a4b00}a{color:inherit}';

/**
 * Head and foot of the page around its entries: no script, nothing fetched, works from any folder or disk. `notes` are sentences
 * on what was passed over.
 */
export function indexHead(count: number, failures: number, notes: readonly string[]): string {
  const failed =
    failures === 0
      ? ''
      : `<p class="warn">${failures} ${failures === 1 ? 'piece was' : 'pieces were'} not measured: see <a href="failures.csv">failures.csv</a>.</p>`;
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src 'self'; style-src 'unsafe-inline'">
<title>Drawer: ${count} pieces</title><style>${STYLE}</style></head><body>
<h1>Drawer: ${count} ${count === 1 ? 'piece' : 'pieces'}</h1>
<p>Tables for R, Python and spreadsheets: <a href="specimens.csv">specimens.csv</a>, one row a piece; the others are listed in <a href="datapackage.json">datapackage.json</a>. Numbers support a judgement by a trained analyst; they do not date, authenticate or appraise a piece.</p>
${failed}${notes.map((note) => `<p>${escaped(note)}</p>`).join('')}<ul>
`;
}

export function indexEntry({ name, record }: NamedRecord): string {
  const { measurements, source, catalogue } = record;
  const title = catalogue.number ?? name;
  const warnings = record.warnings.map(({ code }) => code);
  const stem = `pieces/${encodeURIComponent(name)}`;
  const sizes = SHOWN.map(([id, label]) => {
    const measured = measurements.find((measurement) => measurement.id === id);
    const printed = measured === undefined ? null : printValue(measured);
    if (printed === null) return `${label} –`;
    return `${label} ${printed.value}${printed.u === '' ? '' : ` ± ${printed.u}`} mm`;
  });
  return `<li><a href="${stem}.sheet.svg"><img loading="lazy" alt="" src="${stem}.sheet.svg"></a><h2>${escaped(title)}</h2><p>${sizes.join('<br>')}</p>${photographs(source)}${
    warnings.length === 0 ? '' : `<p class="warn">${escaped(warnings.join(', '))}</p>`
  }<p><a href="${stem}.specimen.json">record</a></p></li>
`;
}

/** Which photographs a piece was measured from; nothing of a scan. */
function photographs(source: Source): string {
  if (source.kind !== 'photo') return '';
  if (source.views.length === 0) return `<p>Photograph: ${escaped(source.file)}</p>`;
  const each = [{ view: 'A', file: source.file }, ...source.views].map(
    ({ view, file }) => `${view} ${escaped(file)}`,
  );
  return `<p>${each.length} photographs of one piece:<br>${each.join('<br>')}</p>`;
}

export const INDEX_FOOT = '</ul></body></html>\n';

function escaped(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');
}
