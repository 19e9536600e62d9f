import type { PlateStyle } from '../src/plate/plateStyle.ts';
import type { SpecimenRecord } from '../src/record/schema.ts';
import type { Relief } from './messages.ts';

/** One piece for a plate, as the drawer knows it. */
export interface PlateSubject {
  readonly record: SpecimenRecord;
  readonly reliefA: Relief;
  readonly reliefB: Relief;
}

export interface DrawnPlates {
  /** One picture a page, its letters as outlines. */
  readonly pages: readonly Blob[];
  /** Paper to piece, such as 2:3. */
  readonly scale: string;
}

/** What the plate's worker offers. Errors carry one plain sentence. */
export interface PlateApi {
  draw(subjects: readonly PlateSubject[], style: PlateStyle): Promise<DrawnPlates>;
  /** One SVG file a page, its text as text. */
  svg(subjects: readonly PlateSubject[], style: PlateStyle): Promise<readonly Blob[]>;
  pdf(subjects: readonly PlateSubject[], style: PlateStyle): Promise<Blob>;
}
