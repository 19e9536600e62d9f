import { curveLinear, curveLinearClosed, line } from 'd3-shape';

declare const markup: unique symbol;
/** Text that is SVG already. Plain text is not: it must come in through `textNode`, which escapes it. */
export type Markup = string & { readonly [markup]: true };

export type Attributes = Readonly<Record<string, string | number | undefined>>;

/** Decimals of a millimetre on paper. */
const DECIMALS = 3;
/** Points of a path nearer than this to the last one drawn add nothing that can be seen, mm on paper. */
const NEAREST = 0.03;

/** An element; attributes that are undefined are left out. */
export function el(name: string, attributes: Attributes, ...children: readonly Markup[]): Markup {
  const written = Object.entries(attributes)
    .filter(([, value]) => value !== undefined)
    .map(
      ([key, value]) =>
        ` ${key}="${typeof value === 'number' ? svgNumber(value) : escapeXml(String(value))}"`,
    )
    .join('');
  return (
    children.length === 0 ? `<${name}${written}/>` : `<${name}${written}>${children.join('')}</${name}>`
  ) as Markup;
}

export function textNode(text: string): Markup {
  return escapeXml(text) as Markup;
}

/** A `<text>` at x, y. */
export function label(text: string, x: number, y: number, attributes: Attributes = {}): Markup {
  return el('text', { x, y, ...attributes }, textNode(text));
}

export function group(attributes: Attributes, ...children: readonly Markup[]): Markup {
  return children.length === 0 ? ('' as Markup) : el('g', attributes, ...children);
}

export function segment(x1: number, y1: number, x2: number, y2: number, attributes: Attributes): Markup {
  return el('line', { x1, y1, x2, y2, ...attributes });
}

/** Letters, figures and marks that XML gives no meaning: what paths and pictures are made of, by the megabyte. */
const PLAIN = /^[ !#-%(-;=?-~]*$/;

/** Escapes what XML gives a meaning, and marks what XML 1.0 can't hold at all (control characters, lone surrogates). */
export function escapeXml(text: string): string {
  if (PLAIN.test(text)) return text;
  return (
    text
      // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what must not reach the file
      .replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\ufffe\uffff\p{Surrogate}]/gu, '\ufffd')
      .replaceAll('&', '&amp;')
      .replaceAll('<', '&lt;')
      .replaceAll('>', '&gt;')
      .replaceAll('"', '&quot;')
      .replaceAll("'", '&#39;')
  );
}

export function svgNumber(value: number): string {
  if (!Number.isFinite(value)) throw new RangeError(`not a number that can be drawn: ${value}`);
  const scaled = value * 10 ** DECIMALS;
  const part = scaled - Math.floor(scaled);
  // Whole numbers are written several times as fast as fractions; only half-way cases need all their decimals to be rounded.
  if (Math.abs(scaled) < 1e9 && Math.abs(part - 0.5) > 1e-3) return thousandths(Math.round(scaled));
  return String(Number(value.toFixed(DECIMALS)) || 0);
}

/** So many thousandths in decimals, without what ends in noughts. */
function thousandths(count: number): string {
  const whole = Math.trunc(count / 1000);
  const rest = Math.abs(count - 1000 * whole);
  if (rest === 0) return String(whole);
  const sign = count < 0 && whole === 0 ? '-' : '';
  const digits = rest < 10 ? `00${rest}` : rest < 100 ? `0${rest}` : String(rest);
  const kept = rest % 100 === 0 ? 1 : rest % 10 === 0 ? 2 : 3;
  return `${sign}${whole}.${digits.slice(0, kept)}`;
}

/** Where a point of the piece comes to lie on paper, mm. */
export type Place = (point: readonly [number, number]) => readonly [number, number];

const closedLine = line().curve(curveLinearClosed).digits(DECIMALS);
const openLine = line().curve(curveLinear).digits(DECIMALS);

/** Path data of a closed ring. */
export function ringPath(points: readonly (readonly [number, number])[], place: Place): string {
  return closedLine(thinned(points, place)) ?? '';
}

/** Path data of an open line. */
export function linePath(points: readonly (readonly [number, number])[], place: Place): string {
  return openLine(thinned(points, place)) ?? '';
}

function thinned(points: readonly (readonly [number, number])[], place: Place): [number, number][] {
  const kept: [number, number][] = [];
  points.forEach((point, i) => {
    const [x, y] = place(point);
    const last = kept.at(-1);
    const near = last !== undefined && Math.abs(x - last[0]) < NEAREST && Math.abs(y - last[1]) < NEAREST;
    if (!near || i === points.length - 1) kept.push([x, y]);
  });
  return kept;
}
