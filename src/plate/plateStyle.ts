import { RecordError } from '../record/schema.ts';

/** Papers, upright, mm. */
export const PAPERS = { A5: [148, 210], A4: [210, 297], A3: [297, 420], Letter: [215.9, 279.4] } as const;
export type Paper = keyof typeof PAPERS;

export const LAYOUTS = ['full', 'faces', 'plan'] as const;
export const FACES = ['relief', 'arrises', 'outline'] as const;
export const PLACES = ['below', 'beside'] as const;
export const PROJECTIONS = ['third-angle', 'first-angle'] as const;

/** How plates look: everything that may be chosen. Lengths in mm on paper. */
export interface PlateStyle {
  readonly name: string;
  readonly paper: Paper;
  readonly landscape: boolean;
  /** Pages cut to what is drawn, for a figure in a text. */
  readonly trim: boolean;
  /** Distance of everything from the edge of the paper. */
  readonly border: number;
  /** `auto`, or paper to piece such as `1:1` or `2:3`. */
  readonly scale: string;
  /** `full`: sections, Face A, edge-on view, Face B; `faces`: both faces; `plan`: Face A alone. */
  readonly layout: (typeof LAYOUTS)[number];
  /** Faces shaded from the scan, drawn by its arrises (outline where there is no scan), or their outline alone. */
  readonly face: (typeof FACES)[number];
  readonly projection: (typeof PROJECTIONS)[number];
  /** Stations of the sections, percent of length from the base; those that the record holds are drawn. */
  readonly stations: readonly number[];
  /** Sections in rows below the views, or in a column beside Face A, each at the height of its station. */
  readonly sections: (typeof PLACES)[number];
  readonly hatch: boolean;
  readonly midline: boolean;
  readonly lines: { readonly margin: number; readonly section: number; readonly thin: number };
  /** Sizes of type: catalogue number, everything else. */
  readonly type: { readonly number: number; readonly text: number };
  /** Ids of measures printed with each piece. */
  readonly measures: readonly string[];
  readonly findSpot: boolean;
  /** Catalogue number and numbers of each piece below the figures; of several pieces the key to their numbers. */
  readonly legend: boolean;
  /** What the figure shows and how, in words. */
  readonly caption: boolean;
  /** A line on what may be published. */
  readonly caution: boolean;
}

export const DEFAULT_STYLE: PlateStyle = {
  name: 'house',
  paper: 'A4',
  landscape: false,
  trim: false,
  border: 15,
  scale: 'auto',
  layout: 'full',
  face: 'relief',
  projection: 'third-angle',
  stations: [20, 40, 60, 80],
  sections: 'below',
  hatch: false,
  midline: true,
  lines: { margin: 0.35, section: 0.3, thin: 0.15 },
  type: { number: 3.5, text: 2.6 },
  measures: ['length', 'width', 'thickness'],
  findSpot: false,
  legend: true,
  caption: true,
  caution: true,
};

const isNumber = (value: unknown, least: number, most: number): boolean =>
  typeof value === 'number' && value >= least && value <= most;
const listOf = (value: unknown, ok: (item: unknown) => boolean): boolean =>
  Array.isArray(value) && value.length <= 50 && value.every(ok) && new Set(value).size === value.length;

/** Whole numbers such as `2:3`; mm on paper for each mm of the piece. Undefined for what is none. */
export function scaleFactor(scale: string): number | undefined {
  const [, paper, piece] = /^([1-9]\d{0,3}):([1-9]\d{0,5})$/.exec(scale) ?? [];
  return paper === undefined ? undefined : Number(paper) / Number(piece);
}

type Check = readonly [string, (value: unknown) => boolean];
const flag: Check = ['true or false', (value) => typeof value === 'boolean'];
const from = (least: number, most: number): Check => [
  `a number from ${least} to ${most}`,
  (value) => isNumber(value, least, most),
];
const oneOf = (words: readonly string[]): Check => [
  `one of ${words.join(', ')}`,
  (value) => typeof value === 'string' && words.includes(value),
];

const CHECKS: Readonly<Record<string, Check>> = {
  name: ['a text of 1 to 80 letters', (v) => typeof v === 'string' && v.length > 0 && v.length <= 80],
  paper: oneOf(Object.keys(PAPERS)),
  landscape: flag,
  trim: flag,
  border: from(5, 40),
  scale: [
    'auto or a scale such as 1:1 or 2:3',
    (v) => v === 'auto' || (typeof v === 'string' && scaleFactor(v) !== undefined),
  ],
  layout: oneOf(LAYOUTS),
  face: oneOf(FACES),
  projection: oneOf(PROJECTIONS),
  stations: [
    'a list of different percentages above 0 and below 100',
    (v) => listOf(v, (item) => isNumber(item, 0.001, 99.999)),
  ],
  sections: oneOf(PLACES),
  hatch: flag,
  midline: flag,
  'lines.margin': from(0.05, 2),
  'lines.section': from(0.05, 2),
  'lines.thin': from(0.05, 2),
  'type.number': from(1, 12),
  'type.text': from(1, 8),
  measures: [
    'a list of ids of measures',
    (v) => listOf(v, (item) => typeof item === 'string' && /^[a-z0-9.]{1,60}$/.test(item)),
  ],
  findSpot: flag,
  legend: flag,
  caption: flag,
  caution: flag,
};

/** Reads the text of a style. Throws a RecordError that names the entry that can't be used. */
export function readStyle(text: string): PlateStyle {
  let asked: unknown;
  try {
    asked = JSON.parse(text);
  } catch (cause) {
    throw new RecordError('style-json', `The style is not JSON: ${(cause as Error).message}.`);
  }
  return verifyStyle(asked);
}

/** Lays what is asked for over the default style. Throws a RecordError that names the entry that can't be used. */
export function verifyStyle(asked: unknown): PlateStyle {
  const top = verifyPart(asked, '');
  return {
    ...DEFAULT_STYLE,
    ...top,
    lines: { ...DEFAULT_STYLE.lines, ...(top.lines === undefined ? {} : verifyPart(top.lines, 'lines.')) },
    type: { ...DEFAULT_STYLE.type, ...(top.type === undefined ? {} : verifyPart(top.type, 'type.')) },
  };
}

function verifyPart(value: unknown, prefix: string): Record<string, unknown> {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) {
    throw new RecordError('style-shape', `${prefix.slice(0, -1) || 'A style'} must be an object.`);
  }
  for (const [key, entry] of Object.entries(value)) {
    const path = prefix + key;
    if (prefix === '' && (key === 'lines' || key === 'type')) continue;
    const check = Object.hasOwn(CHECKS, path) ? CHECKS[path] : undefined;
    if (check === undefined) {
      throw new RecordError('style-unknown', `A style has no ${JSON.stringify(path)}.`);
    }
    if (!check[1](entry)) {
      throw new RecordError('style-value', `${path} must be ${check[0]}; got ${JSON.stringify(entry)}.`);
    }
  }
  return value as Record<string, unknown>;
}
