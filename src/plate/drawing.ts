import type { Points2 } from '../geometry/types.ts';

/** `#rrggbb`. */
export type Colour = `#${string}`;
export type Weight = 'regular' | 'semibold';

/** Lines and areas; several lines of one path are filled by the even-odd rule. */
export interface PathItem {
  readonly kind: 'path';
  /** Interleaved x y, mm. */
  readonly lines: readonly Points2[];
  readonly closed: boolean;
  readonly fill?: Colour;
  readonly stroke?: Colour;
  /** Width of the stroke, mm. */
  readonly width?: number;
  /** Lengths of dashes and gaps, mm. */
  readonly dash?: readonly number[];
}

/** One line of text; x, y is where its baseline starts, has its middle or ends. */
export interface TextItem {
  readonly kind: 'text';
  readonly text: string;
  readonly x: number;
  readonly y: number;
  /** Em, mm. */
  readonly size: number;
  readonly weight: Weight;
  readonly anchor: 'start' | 'middle' | 'end';
  readonly colour: Colour;
}

/** A picture, its upper left corner at x, y. */
export interface ImageItem {
  readonly kind: 'image';
  readonly png: Uint8Array;
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** Items moved together. */
export interface GroupItem {
  readonly kind: 'group';
  readonly x: number;
  readonly y: number;
  readonly items: readonly Item[];
}

export type Item = PathItem | TextItem | ImageItem | GroupItem;

/** What a file says of itself. */
export interface Metadata {
  readonly title: string;
  /** Catalogue numbers. */
  readonly subjects: readonly string[];
  readonly scale: string;
  readonly engine: string;
  /** SHA-256 of the settings that made the figure. */
  readonly settings: string;
}

/** One page: millimetres, origin at the upper left, y down. Later items lie on earlier ones. */
export interface Drawing {
  readonly width: number;
  readonly height: number;
  readonly items: readonly Item[];
  readonly metadata: Metadata;
}

export const group = (x: number, y: number, items: readonly Item[]): GroupItem => ({
  kind: 'group',
  x,
  y,
  items,
});

/** A straight stroke. */
export const stroke = (
  [x1, y1, x2, y2]: readonly [number, number, number, number],
  colour: Colour,
  width: number,
  dash?: readonly number[],
): PathItem => ({
  kind: 'path',
  lines: [Float64Array.of(x1, y1, x2, y2)],
  closed: false,
  stroke: colour,
  width,
  ...(dash === undefined ? {} : { dash }),
});

/** A filled rectangle. */
export const rectangle = (x: number, y: number, width: number, height: number, fill: Colour): PathItem => ({
  kind: 'path',
  lines: [Float64Array.of(x, y, x + width, y, x + width, y + height, x, y + height)],
  closed: true,
  fill,
});
