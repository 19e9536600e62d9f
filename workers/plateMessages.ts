import type { PlateStyle } from '../src/plate/plateStyle.ts';
import type { SpecimenRecord } from '../src/record/schema.ts';
import type { Relief } from './messages.ts';

/** One piece for a plate, as the drawer knows it. */
export interface PlateSubject {
  readonly record: SpecimenRecord;
  readonly reliefA: Relief;
  readonly reliefB?: Relief;
}

/** Which pieces are drawn, by their keys and in this order, and how. */
export interface PlateOrder {
  readonly keys: readonly string[];
  readonly style: PlateStyle;
}

export interface DrawnPlate {
  /** The page that was asked for, or the last one, its letters as outlines. */
  readonly picture: Blob;
  /** Counted from 0, and pages in all. */
  readonly page: number;
  readonly pages: number;
  /** Paper to piece, such as 2:3. */
  readonly scale: string;
  /** Keys of the pieces whose scan has not yet been read for what the style wants of it. */
  readonly lacking: readonly string[];
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
  /** Takes a piece, in place of an earlier one with the same key. */
  hold(key: string, subject: PlateSubject): void;
  drop(keys: readonly string[]): void;
  draw(order: PlateOrder, page: number): Promise<DrawnPlate>;
  /** Reads the scan of a piece for what the style wants of it: arrises, shaded faces, sections elsewhere. Kept for the next time. */
  prepare(key: string, scan: Blob, style: PlateStyle): Promise<void>;
  /** One SVG file a page, its text as text. */
  svg(order: PlateOrder): Promise<readonly Blob[]>;
  /** Pages one by one, so that not all are held at once. */
  dots(order: PlateOrder, dpi: number, page: number): Promise<DotPage>;
  /** A PNG is written band by band from the top, one at a time: `openPng`, `addBand` for each, `closePng`. */
  openPng(width: number, height: number, dpi: number, words: DotPage['words']): void;
  addBand(band: ImageBitmap): void;
  closePng(): Blob;
  pdf(order: PlateOrder): Promise<Blob>;
}
