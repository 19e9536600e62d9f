import { curveLinear, curveLinearClosed, line } from 'd3-shape';

declare const markup: unique symbol;
/** Text that is SVG already. Plain text is not: it must come in through `textNode`, which escapes it. */
export type Markup = string & { readonly [markup]: true };

/** Text that is known to hold nothing that XML gives a meaning, such as path data: megabytes need not be looked through. */
export interface Plain {
  readonly plain: string;
}

export type Attributes = Readonly<Record<string, string | number | Plain | undefined>>;

/** Decimals of a millimetre on paper. */
const DECIMALS = 3;
/** Points of a path nearer than this to the last one drawn add nothing that can be seen, mm on paper. */
const NEAREST = 0.03;

/** An element; attributes that are undefined are left out. */
export function el(name: string, attributes: Attributes, ...children: readonly Markup[]): Markup {
  let text = `<${name}`;
  for (const [key, value] of Object.entries(attributes)) {
    if (value !== undefined) text += ` ${key}="${attributeText(value)}"`;
  }
  if (children.length === 0) return `${text}/>` as Markup;
  text += '>';
  // Added one to another, not joined: a picture inside five groups is copied once.
  for (const child of children) text += child;
  return `${text}</${name}>` as Markup;
}

function attributeText(value: string | number | Plain): string {
  if (typeof value === 'number') return svgNumber(value);
  return typeof value === 'string' ? escapeXml(value) : value.plain;
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

/** What stands behind the whole number, by thousandths; nothing ends in noughts. */
const FRACTIONS = Array.from({ length: 1000 }, (_, rest) =>
  rest === 0 ? '' : `.${String(rest).padStart(3, '0').replace(/0+$/, '')}`,
);

/** So many thousandths in decimals. */
function thousandths(count: number): string {
  const size = Math.abs(count);
  const whole = Math.floor(size / 1000);
  const text = whole + FRACTIONS[size - 1000 * whole];
  return count < 0 ? `-${text}` : text;
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
