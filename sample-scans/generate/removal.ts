/** Something that took stone off one face: the face is lowered to it. Heights in mm, face-up. */
export interface Removal {
  /** Plan box that holds everything it can touch. */
  readonly box: { readonly x0: number; readonly y0: number; readonly x1: number; readonly y1: number };
  /** Whether it can matter within `radius` of a plan point. */
  near(x: number, y: number, radius: number): boolean;
  /**
   * Height at a plan point, or Infinity outside its reach or where it is surely above `ceiling`. `parts` tells whether the
   * floor or a steep wall is met there: between them runs a sharp line.
   */
  height(x: number, y: number, ceiling: number, parts: { wall: boolean }): number;
}
