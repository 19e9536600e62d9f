import type { DrawingScale } from './drawingScale.ts';
import type { Figure, PlatePiece } from './figure.ts';
import type { PlateStyle } from './plateStyle.ts';
import type { Typefaces } from './typefaces.ts';

/** A piece with its number on the plate and its views. */
export interface Placed {
  readonly number: number;
  readonly piece: PlatePiece;
  readonly figure: Figure;
  /** What the legend says of it. */
  readonly entry: string;
}

/** What is the same on every page of a plate. */
export interface Press {
  readonly style: PlateStyle;
  readonly faces: Typefaces;
  readonly scale: DrawingScale;
  readonly width: number;
  readonly height: number;
  readonly many: boolean;
}
