import type { MatDrawing } from './mat.ts';
import { el, group, textNode } from './svg.ts';

/** A mat as SVG in millimetres. */
export function matSvg({ title, width, height, boxes, lines }: MatDrawing): string {
  const page = el(
    'svg',
    {
      xmlns: 'http://www.w3.org/2000/svg',
      width: `${width}mm`,
      height: `${height}mm`,
      viewBox: `0 0 ${width} ${height}`,
    },
    el('title', {}, textNode(title)),
    el('rect', { width, height, fill: '#fff' }),
    ...boxes.map(({ left, right, bottom, top, white }) =>
      el('rect', {
        x: left,
        y: height - top,
        width: right - left,
        height: top - bottom,
        fill: white ? '#fff' : '#000',
      }),
    ),
    group(
      { fill: 'none', stroke: '#000', 'stroke-linecap': 'round', 'stroke-linejoin': 'round' },
      ...lines.map(({ points, width: stroke }) =>
        el('polyline', { points: pairs(points, height), 'stroke-width': stroke }),
      ),
    ),
  );
  return `<?xml version="1.0" encoding="UTF-8"?>\n${page}\n`;
}

function pairs(points: Float64Array, height: number): string {
  const words: string[] = [];
  for (let i = 0; i < points.length; i += 2) {
    words.push(`${decimals(points[i])},${decimals(height - points[i + 1])}`);
  }
  return words.join(' ');
}

function decimals(value: number): string {
  return String(Number(value.toFixed(3)));
}
