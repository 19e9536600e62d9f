import { type Cell, writeCsv } from '../../record/csv.ts';
import chartStyle from './chart.css?raw';

/** Hands a text to the browser as a file to keep. */
function download(name: string, type: string, text: string): void {
  const url = URL.createObjectURL(new Blob([text], { type }));
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  // The browser has begun to read by then.
  setTimeout(() => URL.revokeObjectURL(url), 1000);
}

export function downloadCsv(name: string, header: readonly string[], rows: Iterable<readonly Cell[]>): void {
  download(`${name}.csv`, 'text/csv;charset=utf-8', writeCsv(header, rows));
}

/** The figure as it stands, in the colours of paper whatever the page's theme, with its look inside the file. */
export function downloadSvg(name: string, svg: SVGSVGElement, caption: string): void {
  const { width, height } = svg.viewBox.baseVal;
  const copy = svg.cloneNode(true) as SVGSVGElement;
  for (const left of copy.querySelectorAll('[data-screen]')) left.remove();
  for (const attribute of ['class', 'tabindex', 'role', 'aria-describedby', 'style'])
    copy.removeAttribute(attribute);
  copy.setAttribute('xmlns', 'http://www.w3.org/2000/svg');
  copy.setAttribute('width', String(width));
  copy.setAttribute('height', String(height));
  copy.setAttribute('class', 'chart');
  const make = (tag: string, text: string): Element => {
    const element = document.createElementNS('http://www.w3.org/2000/svg', tag);
    element.textContent = text;
    return element;
  };
  const paper = document.createElementNS('http://www.w3.org/2000/svg', 'rect');
  paper.setAttribute('width', String(width));
  paper.setAttribute('height', String(height));
  paper.setAttribute('fill', '#ffffff');
  copy.prepend(make('desc', caption), make('style', onPaper(chartStyle)), paper);
  download(`${name}.svg`, 'image/svg+xml', new XMLSerializer().serializeToString(copy));
}

/** Names of colours replaced by what they are in the light theme: a file has no page to ask. */
function onPaper(style: string): string {
  const page = getComputedStyle(document.documentElement);
  return style.replace(/var\((--[\w-]+)\)/g, (_, name: string) => {
    const value = page.getPropertyValue(name).trim();
    return /^light-dark\(\s*([^,]+),/.exec(value)?.[1] ?? value;
  });
}
