/** Look of the sheet: paper, ink, stone, and one warm colour for what departs from symmetry. Lengths in mm. */
export const PAGE = { width: 210, height: 297, margin: 15 } as const;

export const COLOUR = {
  paper: '#fdfcf9',
  ink: '#26221d',
  soft: '#6f675c',
  hair: '#d9d3c7',
  stone: '#e8e2d6',
  clay: '#a8492a',
  slate: '#2f5d7c',
} as const;

export const FONT = {
  title: "'Iowan Old Style', 'Palatino Linotype', Palatino, Georgia, 'DejaVu Serif', serif",
  body: "'Helvetica Neue', Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif",
} as const;

/** Type sizes. */
export const TYPE = { title: 7.2, heading: 3.1, body: 2.75, small: 2.25 } as const;

export const LINE = { outline: 0.35, thin: 0.2, hair: 0.12 } as const;

/** A part of the page. */
export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}
