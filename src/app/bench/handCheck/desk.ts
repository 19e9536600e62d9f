import type { SpecimenRecord } from '../../../record/schema.ts';
import { layOf } from '../../state/handCheck.ts';
import type { Size } from '../useSize.ts';

export type Spot = readonly [x: number, y: number];

/** Where the piece lies on the drawing and how places go to and fro between frame (mm), desk (mm) and drawing (px). */
export interface Desk extends Size {
  /** px per mm. */
  readonly scale: number;
  /** How far the jaws can be moved from the middle, mm. */
  readonly reach: number;
  /** Degrees that the plan is turned counter-clockwise. */
  readonly lay: number;
  /** Middle of the piece's length on the drawing, px. */
  readonly middle: Spot;
  toDrawing(x: number, y: number, face: 'A' | 'B'): Spot;
  /** From the drawing back to frame x and y. */
  toFrame(px: number, py: number, face: 'A' | 'B'): Spot;
}

const PAD = 34;

export function layDesk(record: SpecimenRecord, { width, height }: Size): Desk | null {
  if (width < 160 || height < 160) return null;
  const { length } = record.frame;
  const reach = 0.62 * Math.max(length, ...record.outline.outer.map(([x]) => 2 * Math.abs(x)));
  const scale = (Math.min(width, height) - 2 * PAD) / (2 * reach);
  const lay = layOf(record);
  const turn = (lay * Math.PI) / 180;
  const [sin, cos] = [Math.sin(turn), Math.cos(turn)];
  const middle: Spot = [width / 2, height / 2];
  return {
    width,
    height,
    scale,
    reach,
    lay,
    middle,
    toDrawing(x, y, face) {
      const [u, v] = [face === 'A' ? x : -x, y - length / 2];
      return [middle[0] + scale * (u * cos - v * sin), middle[1] - scale * (u * sin + v * cos)];
    },
    toFrame(px, py, face) {
      const [dx, dy] = [(px - middle[0]) / scale, (middle[1] - py) / scale];
      const u = dx * cos + dy * sin;
      return [face === 'A' ? u : -u, -dx * sin + dy * cos + length / 2];
    },
  };
}

/** Unit vectors on the drawing (px, y down): along an axis that leans by so many degrees counter-clockwise, and to its right. */
export function directions(degrees: number): { readonly along: Spot; readonly right: Spot } {
  const turn = (degrees * Math.PI) / 180;
  return { along: [-Math.sin(turn), -Math.cos(turn)], right: [Math.cos(turn), -Math.sin(turn)] };
}
