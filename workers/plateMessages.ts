import type { PlateStyle } from '../src/plate/plateStyle.ts';
import type { SpecimenRecord } from '../src/record/schema.ts';
import type { Relief } from './messages.ts';

/** One piece for a plate, as the drawer knows it. */
export interface PlateSubject {
  readonly record: SpecimenRecord;
  readonly reliefA: Relief;
  readonly reliefB?: Relief;
}

export interface DrawnPlates {
  /** One picture a page, its letters as outlines. */
  readonly pages: readonly Blob[];
  /** Paper to piece, such as 2:3. */
  readonly scale: string;
}

/** A page as SVG whose size is in whole dots, its letters as outlines; to be turned into dots by the page. */
export interface DotPage {
  readonly svg: Blob;
  /** Dots. */
  readonly width: number;
  readonly height: number;
  /** What the PNG is to say of itself. */
  readonly words: Readonly<Record<string, string>>;
}

/** What the plate's worker offers. Errors carry one plain sentence. */
export interface PlateApi {
  draw(subjects: readonly PlateSubject[], style: PlateStyle): Promise<DrawnPlates>;
  /** One SVG file a page, its text as text. */
  svg(subjects: readonly PlateSubject[], style: PlateStyle): Promise<readonly Blob[]>;
  dots(subjects: readonly PlateSubject[], style: PlateStyle, dpi: number): Promise<readonly DotPage[]>;
  /** A PNG is written band by band from the top, one at a time: `openPng`, `addBand` for each, `closePng`. */
  openPng(width: number, height: number, dpi: number, words: DotPage['words']): void;
  addBand(band: ImageBitmap): void;
  closePng(): Blob;
  pdf(subjects: readonly PlateSubject[], style: PlateStyle): Promise<Blob>;
}
